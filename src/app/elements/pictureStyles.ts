// Styles of the smaller pictures: their size and the legend above them.
import { css } from 'lit';

export const pictureStyles = css`
  kp-xy-plot {
    height: 18rem;
    min-width: 0;
  }
  .legend {
    display: flex;
    flex-wrap: wrap;
    gap: 0.125rem 1.25rem;
    margin-top: 0.25rem;
    font-size: var(--small);
  }
  .legend span {
    display: inline-flex;
    align-items: center;
    gap: 0.5rem;
  }
  .scroll {
    max-height: 20rem;
    overflow: auto;
  }
`;
