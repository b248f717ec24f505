import { html, LitElement } from 'lit';

class KneepointApp extends LitElement {
  protected override render() {
    return html`<h1>Kneepoint</h1>`;
  }
}

customElements.define('kneepoint-app', KneepointApp);
