// Styles that every element of the page uses: controls, tables, headings, and what only a screen reader gets.
import { css } from 'lit';

export const baseStyles = css`
  :host {
    display: block;
  }
  :host([hidden]) {
    display: none;
  }
  *,
  *::before,
  *::after {
    box-sizing: border-box;
  }
  h2,
  h3,
  p,
  dl,
  dd,
  ul,
  ol,
  figure {
    margin: 0;
    padding: 0;
  }
  h2 {
    font-size: var(--head);
    font-weight: 600;
    line-height: 1.25;
  }
  h3 {
    font-size: var(--body);
    font-weight: 600;
  }
  ul,
  ol {
    list-style: none;
  }
  .muted {
    color: var(--muted);
  }
  .small {
    font-size: var(--small);
  }
  .figure {
    font-variant-numeric: tabular-nums;
  }
  .condition {
    color: var(--muted);
    font-size: var(--small);
  }
  .unseen {
    position: absolute;
    width: 1px;
    height: 1px;
    overflow: hidden;
    clip-path: inset(50%);
    white-space: nowrap;
  }
  :focus-visible {
    outline: 2px solid var(--action);
    outline-offset: 2px;
  }
`;

export const controlStyles = css`
  button,
  select,
  input,
  textarea {
    font: inherit;
    color: inherit;
  }
  button {
    min-height: 2rem;
    padding: 0.25rem 0.75rem;
    border: 1px solid var(--edge);
    border-radius: 4px;
    background: var(--panel);
    cursor: pointer;
  }
  button:hover:not(:disabled) {
    border-color: var(--action);
    color: var(--action);
  }
  button:disabled {
    color: var(--muted);
    border-color: var(--rule);
    cursor: default;
  }
  button.plain {
    min-height: 1.75rem;
    padding: 0.125rem 0.375rem;
    border-color: transparent;
    background: none;
    color: var(--action);
  }
  button.plain:hover:not(:disabled) {
    text-decoration: underline;
  }
  button.plain:disabled {
    color: var(--muted);
  }
  select,
  input[type="number"],
  input[type="text"],
  textarea {
    min-height: 2rem;
    padding: 0.25rem 0.5rem;
    border: 1px solid var(--edge);
    border-radius: 4px;
    background: var(--panel);
  }
  input[type="number"] {
    font-variant-numeric: tabular-nums;
    text-align: right;
  }
  input[type="range"] {
    width: 100%;
    margin: 0;
    accent-color: var(--action);
  }
  input[type="checkbox"],
  input[type="radio"] {
    accent-color: var(--action);
  }
  :is(input, select)[aria-invalid="true"] {
    border-color: var(--over);
    outline-color: var(--over);
  }
`;

export const tableStyles = css`
  table {
    width: 100%;
    border-collapse: collapse;
    font-variant-numeric: tabular-nums;
  }
  caption {
    text-align: left;
    color: var(--muted);
    font-size: var(--small);
    padding-bottom: 0.25rem;
  }
  th {
    font-weight: 400;
    color: var(--muted);
    font-size: var(--small);
    vertical-align: bottom;
  }
  th,
  td {
    padding: 0.3125rem 0.5rem;
    text-align: right;
    border-bottom: 1px solid var(--rule);
    white-space: nowrap;
  }
  th:first-child,
  td:first-child {
    padding-left: 0;
    text-align: left;
  }
  th:last-child,
  td:last-child {
    padding-right: 0;
  }
  tbody th {
    white-space: normal;
    color: var(--ink);
    font-size: var(--body);
  }
  .scroll {
    overflow-x: auto;
  }
  @media (max-width: 640px) {
    th,
    td {
      padding-inline: 0.25rem;
    }
    td,
    tbody th {
      font-size: var(--small);
    }
  }
  details > summary {
    width: fit-content;
    color: var(--action);
    cursor: pointer;
    font-size: var(--small);
  }
`;
