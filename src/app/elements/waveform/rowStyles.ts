// What the settings inside a carrier's row look like: as in the column they stand in.
import { css } from 'lit';

export const rowStyles = css`
  .pair {
    display: flex;
    align-items: center;
    justify-content: space-between;
    gap: 0.5rem;
    min-height: 2rem;
    padding: 0.1875rem 0;
  }
  .pair select {
    min-width: 0;
    max-width: 10.5rem;
    text-overflow: ellipsis;
  }
  .switch {
    display: flex;
    align-items: center;
    gap: 0.5rem;
    min-height: 2rem;
  }
  .switch input {
    margin: 0;
  }
  .issue {
    padding: 0.125rem 0 0.375rem;
    color: var(--over);
    font-size: var(--small);
    overflow-wrap: anywhere;
  }
  .condition {
    overflow-wrap: anywhere;
  }
  .files {
    position: relative;
    display: block;
    padding: 0.25rem 0;
  }
  .files span {
    display: block;
    padding: 0.3125rem 0.75rem;
    border: 1px solid var(--edge);
    border-radius: 4px;
    background: var(--panel);
    text-align: center;
    overflow-wrap: anywhere;
    cursor: pointer;
  }
  .files:hover span {
    border-color: var(--action);
    color: var(--action);
  }
  .files input:focus-visible + span {
    outline: 2px solid var(--action);
    outline-offset: 2px;
  }
  details > summary {
    width: fit-content;
    min-height: 2rem;
    padding: 0.25rem 0;
    color: var(--action);
    font-size: var(--small);
    cursor: pointer;
  }
`;
