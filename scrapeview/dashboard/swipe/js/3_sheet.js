// One print: its picture with its own marks over it.

const LEAST_MARK_PX = 2.1;

class Sheet {
  // The title hangs in the window, where it stays in sight when the picture is moved about.
  constructor(inner, window, side) {
    this.root = element("div", "sheet", inner, { "data-testid": `sheet-${side}` });
    this.image = element("img", "", this.root, { draggable: "false", alt: "" });
    this.svg = drawing("svg", this.root);
    this.tag = element("span", `tag ${side}`, window);
  }

  update(print, size, shown) {
    this.print = print;
    this.size = size;
    this.layers = print.layers.filter((layer) => shown.includes(layer.key));
    this.tag.textContent = print.title;
    this.image.alt = print.title;
    if (this.key !== print.picture) {
      this.key = print.picture;
      whenSent(print.picture, (url) => {
        if (this.key === print.picture) this.image.src = url;
      });
    }
    this.draw();
  }

  show(visible) {
    for (const part of [this.root, this.tag]) part.style.visibility = visible ? "visible" : "hidden";
  }

  draw() {
    const width = this.root.clientWidth;
    if (!width || !this.size) return;
    const scale = width / this.size[0];
    this.svg.replaceChildren();
    this.svg.setAttribute("viewBox", `0 0 ${width} ${this.size[1] * scale}`);
    for (const layer of this.layers) drawMarks(this.svg, layer, scale, LEAST_MARK_PX);
  }
}
