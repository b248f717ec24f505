// Styles that the views of all questions share.
import { css } from 'lit';

export const studyStyles = css`
  :host {
    container-type: inline-size;
  }
  /* Wide pictures name their lines at the lines' ends. */
  @container (min-width: 38rem) {
    .legend.narrow {
      display: none;
    }
  }
  .settings-line {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: 0.25rem 1.5rem;
    margin: 0.25rem 0 0.5rem;
  }
  .legend {
    display: flex;
    flex-wrap: wrap;
    gap: 0.125rem 1.25rem;
    min-height: 1.5rem;
    align-items: center;
    font-size: var(--small);
  }
  .legend span {
    display: inline-flex;
    align-items: center;
    gap: 0.5rem;
  }
  .read-out {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: 0 1rem;
    min-height: 1.5rem;
    font-size: var(--small);
  }
  .read-out .at {
    min-width: 8.5rem;
    font-weight: 600;
  }
  .read-out span {
    display: inline-flex;
    align-items: center;
    gap: 0.375rem;
  }
  .picture {
    min-width: 0;
  }
  .scroll {
    overflow: auto;
  }
  details .scroll {
    max-height: 24rem;
  }
  tbody th {
    white-space: nowrap;
  }
  @container (max-width: 38rem) {
    .settings-line {
      display: grid;
      grid-template-columns: 1fr 1fr;
      gap: 0.25rem 1.25rem;
    }
    .settings-line kp-number-list {
      grid-column: 1 / -1;
    }
  }
  details {
    margin-top: 0.5rem;
  }
  .buttons {
    display: flex;
    flex-wrap: wrap;
    gap: 0.5rem;
    margin: 0.75rem 0;
  }
  .buttons button {
    min-height: 1.75rem;
    font-size: var(--small);
  }
  .scroll + .scroll {
    margin-top: 1.25rem;
  }
  :is(td, th).text {
    text-align: left;
  }
  td.text:last-child {
    white-space: normal;
    min-width: 12ch;
  }
  .groups :is(td, th) {
    border-bottom: 0;
    padding-bottom: 0;
  }
  h3 {
    margin: 1.25rem 0 0.25rem;
  }
  .chosen td,
  .chosen th {
    background: var(--action-wash);
  }
  .within {
    color: var(--within);
  }
  .over {
    color: var(--over);
  }
  .facts {
    display: grid;
    grid-template-columns: repeat(auto-fit, minmax(11rem, 1fr));
    gap: 0.75rem 2rem;
    margin: 1rem 0 0.5rem;
  }
  .facts > div {
    border-top: 2px solid var(--rule);
    padding-top: 0.375rem;
  }
  .facts dt {
    color: var(--muted);
    font-size: var(--small);
  }
  .facts dd {
    font-size: var(--head);
    font-weight: 600;
    font-variant-numeric: tabular-nums;
  }
  .facts dd.note {
    font-size: var(--small);
    font-weight: 400;
    color: var(--muted);
  }
  @media (max-width: 640px) {
    .facts {
      grid-template-columns: 1fr 1fr;
      gap: 0.75rem 1rem;
    }
  }
`;
