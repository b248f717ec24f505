// What the amplifier's settings look like beside the rows every block has.
import { css } from 'lit';

export const amplifierStyles = css`
  h3 {
    margin: 1rem 0 0.25rem;
  }
  .stack {
    padding: 0.1875rem 0;
  }
  .stack select {
    width: 100%;
    margin-top: 0.125rem;
  }
  .origins {
    display: grid;
    grid-template-columns: 1fr 1fr;
    gap: 0 0.5rem;
    margin: 0.25rem 0 0.5rem;
    padding: 0;
    border: 0;
  }
  .origins legend {
    padding: 0 0 0.125rem;
    color: var(--muted);
    font-size: var(--small);
  }
  .origins label {
    display: flex;
    align-items: center;
    gap: 0.375rem;
    min-height: 1.75rem;
    white-space: nowrap;
  }
  .origins label:nth-of-type(n + 4) {
    grid-column: 1 / -1;
  }
  .origins input {
    flex: none;
    margin: 0;
  }
  .origins .records {
    justify-self: start;
    padding-left: 0;
    text-align: left;
    white-space: nowrap;
  }
  .sheet-head {
    display: flex;
    justify-content: space-between;
    padding: 0.25rem 2.25rem 0.125rem 0;
    border-bottom: 1px solid var(--edge);
    color: var(--muted);
    font-size: var(--small);
  }
  .figure-row {
    border-bottom: 1px solid var(--rule);
  }
  .read {
    display: flex;
    justify-content: flex-end;
    gap: 0.75rem;
    padding: 0 2.25rem 0.25rem 0;
    color: var(--muted);
    font-size: var(--small);
  }
  .read.stale {
    opacity: 0.45;
  }
  .met {
    color: var(--within);
  }
  .missed {
    color: var(--over);
  }
  .note {
    margin-top: 0.5rem;
    padding-left: 0.625rem;
    border-left: 3px solid var(--over);
    font-size: var(--small);
  }
  .formula {
    margin-top: 0.375rem;
    font-family: ui-monospace, monospace;
    font-size: var(--small);
    overflow-wrap: anywhere;
  }
  .formula span {
    display: block;
  }
  .facts {
    margin: 0.375rem 0 0.25rem;
    font-size: var(--small);
  }
  .facts div {
    display: grid;
    grid-template-columns: 3.75rem minmax(0, 1fr);
    padding: 0.125rem 0;
  }
  .facts dt {
    color: var(--muted);
  }
  .facts dd {
    overflow-wrap: anywhere;
  }
  .facts strong {
    font-weight: 600;
  }
  .model-files {
    display: grid;
    grid-template-columns: 1fr 1fr;
    gap: 0.5rem;
    align-items: center;
    margin-top: 0.75rem;
  }
`;
