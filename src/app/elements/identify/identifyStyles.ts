// Layout of the identification. Without a result the records fill the width; with one they stand beside its pictures.
import { css } from 'lit';

export const identifyStyles = css`
  .title {
    color: var(--muted);
    font-size: var(--small);
    overflow-wrap: anywhere;
  }
  .title strong {
    color: var(--ink);
  }
  .answer {
    max-width: 62ch;
    min-height: 2.5em;
    margin: 0.375rem 0 0;
    font-size: var(--answer);
    font-weight: 500;
    line-height: 1.25;
    letter-spacing: -0.01em;
    font-variant-numeric: tabular-nums;
    text-wrap: pretty;
  }
  .stale {
    opacity: 0.45;
  }
  .reasons {
    max-width: 80ch;
    margin-top: 0.375rem;
    color: var(--muted);
    font-variant-numeric: tabular-nums;
  }
  .acts {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: 0.25rem 0.5rem;
    margin-top: 0.5rem;
  }
  .acts .plain {
    font-size: var(--small);
  }
  .main {
    border-color: var(--action);
    color: var(--action);
    font-weight: 600;
  }
  .banner {
    max-width: 80ch;
    margin-top: 0.5rem;
    padding: 0.5rem 0.75rem;
    border: 1px solid var(--edge);
    border-left-width: 4px;
    border-radius: 4px;
    background: var(--panel);
  }
  .banner.over {
    border-color: var(--over);
  }
  .banner.over :is(strong, li span) {
    color: var(--over);
  }
  .line {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: 0.25rem 0.75rem;
    min-height: 2.25rem;
  }
  progress {
    width: 10rem;
    height: 0.375rem;
    appearance: none;
    border: 0;
    border-radius: 3px;
    overflow: hidden;
    background: var(--rule);
  }
  progress::-webkit-progress-bar {
    background: var(--rule);
  }
  progress::-webkit-progress-value {
    background: var(--action);
  }
  progress::-moz-progress-bar {
    background: var(--action);
  }
  .parts {
    display: grid;
    grid-template-columns: minmax(0, 1fr) 20rem;
    grid-template-areas:
      "pictures inputs"
      "tables tables";
    gap: 2rem 2.5rem;
    align-items: start;
  }
  .parts > * {
    min-width: 0;
  }
  kp-pair-pictures {
    grid-area: pictures;
  }
  .inputs {
    grid-area: inputs;
  }
  .tables {
    grid-area: tables;
    padding-top: 1.5rem;
    border-top: 1px solid var(--rule);
  }
  kp-warnings {
    margin-bottom: 1.5rem;
  }
  .places {
    display: grid;
    gap: 0.5rem;
  }
  .parts.empty {
    display: block;
    max-width: 56rem;
  }
  details .places {
    margin-top: 0.5rem;
  }
  .empty .places {
    grid-template-columns: repeat(auto-fit, minmax(min(18rem, 100%), 1fr));
    gap: 1rem;
  }
  .inputs .acts {
    margin: 0.125rem 0;
  }
  .inputs .acts .plain {
    margin-left: -0.375rem;
  }
  details {
    margin-top: 0.5rem;
  }
  @media (max-width: 1180px) {
    .parts {
      grid-template-columns: minmax(0, 1fr);
      grid-template-areas:
        "pictures"
        "inputs"
        "tables";
    }
    .parts:not(.empty) .inputs {
      padding-top: 1.5rem;
      border-top: 1px solid var(--rule);
    }
    .places {
      grid-template-columns: repeat(auto-fit, minmax(min(16rem, 100%), 1fr));
    }
  }
  @media (max-width: 640px) {
    .answer {
      font-size: 1.3125rem;
    }
  }
`;
