// What the page calls, on every run: bytes of a picture to keep, or what is to be compared and how.

const views = (globalThis.scrapeviewViews ??= new WeakMap());
const MODES = { swipe: Swipe, blink: Blink, both: Both };
const ZOOMS = [1, 2, 4];

class Compared {
  constructor(parent) {
    this.root = element("div", "compared", parent);
    const still = globalThis.matchMedia?.("(prefers-reduced-motion: reduce)").matches;
    this.state = { share: 0.5, zoom: 1, pace: 1000, running: !still, later: false };
  }

  update(data) {
    this.data = data;
    if (this.shownMode !== data.mode) this.build(data.mode);
    const sides = this.mode.stages.length === 2 ? [[0], [1]] : [[0, 1]];
    this.mode.stages.forEach((stage, at) => {
      const prints = sides[at].map((side) => data.prints[side]);
      stage.update(prints, data.size_px, data.shown, this.state.zoom);
    });
    this.explain();
  }

  build(mode) {
    this.stop();
    this.shownMode = mode;
    this.root.replaceChildren();
    const pictures = element("div", "pictures", this.root);
    const bar = element("div", "bar", this.root);
    this.mode = new MODES[mode](pictures, bar, this.state);
    this.zooms = ZOOMS.map((zoom) => button(bar, `\u00d7${zoom}`, `zoom-${zoom}`, () => {
      this.state.zoom = zoom;
      this.mode.stages.forEach((stage) => stage.zoomTo(zoom));
      this.tellZoom();
    }));
    this.zooms.forEach((made, at) => made.setAttribute("aria-label", `Enlarge ${ZOOMS[at]} times`));
    this.legend = element("div", "legend", this.root);
    this.tellZoom();
  }

  tellZoom() {
    this.zooms.forEach((made, at) =>
      made.setAttribute("aria-pressed", String(ZOOMS[at] === this.state.zoom)));
  }

  explain() {
    this.legend.replaceChildren();
    for (const { key, label, ...layer } of this.data.legend) {
      if (!this.data.shown.includes(key)) continue;
      const entry = element("span", "entry", this.legend);
      const svg = drawing("svg", entry, { viewBox: "0 0 22 22", width: 22, height: 22 });
      drawMarks(svg, { ...layer, radius_px: 7, places_px: [11, 11] }, 1, 1);
      entry.append(label);
    }
  }

  stop() {
    this.mode?.stop();
    this.mode?.stages.forEach((stage) => stage.destroy());
  }
}

export default function ({ data, parentElement }) {
  if (data instanceof Uint8Array) {
    keepSent(data);
    return undefined;
  }
  let view = views.get(parentElement);
  if (!view) {
    view = new Compared(parentElement);
    views.set(parentElement, view);
  }
  view.update(data);
  // a call that a newer one has overtaken is ended too: only what has left the page may go
  return () => setTimeout(() => {
    if (view.root.isConnected) return;
    view.stop();
    view.root.remove();
    if (views.get(parentElement) === view) views.delete(parentElement);
  }, 0);
}
