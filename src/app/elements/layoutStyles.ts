// The page's grid. Wide: settings on the left, then the answer over picture and limits. Narrow: answer, limits, picture,
// then the chain's settings.
import { css } from 'lit';

export const layoutStyles = css`
  .page {
    max-width: 110rem;
    margin: 0 auto;
    padding: 0 1.5rem;
  }
  kp-header {
    border-bottom: 1px solid var(--rule);
  }
  .doors,
  .chain {
    border-bottom: 1px solid var(--rule);
  }
  .bench {
    display: grid;
    grid-template-columns: 19rem minmax(0, 1fr);
    column-gap: 2.5rem;
    align-items: start;
  }
  .settings {
    position: sticky;
    top: 0;
    /* What the header and the chain leave of the window. */
    max-height: calc(100vh - 12rem);
    padding: 1.25rem 0.5rem 1rem 0;
    overflow-y: auto;
    scrollbar-width: thin;
  }
  main {
    display: grid;
    grid-template-columns: minmax(0, 1fr) 20rem;
    grid-template-areas:
      "answer answer"
      "progress progress"
      "picture curve"
      "picture limits"
      "amplifier amplifier"
      "detail detail";
    grid-template-rows: auto auto auto 1fr auto auto;
    column-gap: 2.5rem;
    padding-top: 1.25rem;
  }
  main.asked {
    display: block;
  }
  .answer {
    grid-area: answer;
    min-height: 5.5rem;
  }
  .progress {
    grid-area: progress;
  }
  .picture {
    grid-area: picture;
    min-width: 0;
  }
  .curve {
    grid-area: curve;
    margin-bottom: 1.5rem;
  }
  .limits {
    grid-area: limits;
  }
  .amplifier {
    grid-area: amplifier;
    min-width: 0;
    margin-top: 2rem;
    padding-top: 1.5rem;
    border-top: 1px solid var(--rule);
  }
  .detail {
    grid-area: detail;
    margin-top: 2rem;
    padding-top: 1.5rem;
    border-top: 1px solid var(--rule);
  }
  @media (prefers-reduced-motion: no-preference) {
    kp-answer,
    kp-limits,
    kp-spectrum-panel,
    .detail {
      transition: opacity 0.15s;
    }
  }
  .stale kp-answer,
  .stale kp-limits,
  .stale .curve,
  .stale .amplifier,
  .stale kp-spectrum-panel,
  .stale .detail {
    opacity: 0.45;
  }
  footer {
    display: flex;
    flex-wrap: wrap;
    align-items: baseline;
    justify-content: space-between;
    gap: 0.25rem 2rem;
    margin-top: 2.5rem;
    padding: 0.75rem 0 1.5rem;
    border-top: 1px solid var(--rule);
    color: var(--muted);
    font-size: var(--small);
  }
  footer .links {
    display: flex;
    flex-wrap: wrap;
    align-items: center;
    gap: 0.25rem 1rem;
  }
  @media (max-height: 800px) and (min-width: 761px) {
    main,
    .settings {
      padding-top: 0.875rem;
    }
  }
  @media (max-width: 1180px) {
    .bench {
      grid-template-columns: 18rem minmax(0, 1fr);
      column-gap: 1.75rem;
    }
    main {
      grid-template-columns: minmax(0, 1fr);
      grid-template-areas:
        "answer"
        "progress"
        "picture"
        "curve"
        "limits"
        "amplifier"
        "detail";
      grid-template-rows: none;
      row-gap: 0;
    }
    .curve {
      margin: 1.5rem 0 0;
    }
    .limits {
      margin-top: 1.5rem;
    }
  }
  @media (max-width: 760px) {
    .page {
      display: flex;
      flex-direction: column;
      padding: 0 1rem;
    }
    .chain {
      order: 1;
      margin: 0 -1rem;
      padding: 0 1rem;
      border-top: 1px solid var(--rule);
    }
    .bench,
    main,
    main.asked {
      display: contents;
    }
    .doors {
      margin: 0 -1rem;
      padding: 0 1rem;
    }
    .studies {
      padding: 1rem 0;
    }
    .answer {
      padding-top: 1rem;
    }
    .settings {
      position: static;
      order: 2;
      max-height: none;
      padding: 1rem 0;
    }
    .curve {
      order: 2;
      margin: 0 0 1rem;
    }
    .amplifier {
      order: 2;
      margin: 0 0 1rem;
      padding-top: 1rem;
    }
    .detail {
      order: 3;
    }
    footer {
      order: 4;
    }
  }
`;
