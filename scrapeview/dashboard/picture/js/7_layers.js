// The face seen square-on with the layers of a reading over it, a legend that switches them, what
// lies under the pointer in numbers, and tools that tell the server of taps in mm of the face.

const REACH_PX = 9;
const REACH_FINGER_PX = 20;
// with the other tools the numbers would only lie in the way
const TELLING = new Set(["look", "remove", "merge"]);

class Layers {
  constructor(root, tools) {
    this.tools = tools;
    this.off = new Map();
    this.toldOf = null;
    this.taps = [];
    this.toolBar = element("div", "bar tools", root, { role: "radiogroup", "aria-label": "Tool" });
    this.hint = element("p", "prompt", root, { "aria-live": "polite", "data-testid": "hint" });
    this.stage = new Stage(root, this);
    this.note = element("div", "note", this.stage.over, { "data-testid": "picture-note" });
    this.summary = element("p", "summary", root, { "aria-live": "polite", "data-testid": "summary" });
    const bar = element("div", "bar", root);
    zoomButtons(bar, this.stage);
    this.finish = button(bar, "Finish", "finish-taps", () => this.sendTaps());
    this.back = button(bar, "Undo tap", "undo-tap", () => this.takeBack());
    this.sizer = element("span", "sizer", bar);
    button(this.sizer, { sign: "−", name: "Smaller added point" }, "add-smaller", () => this.resize(1 / 1.15));
    this.sizeText = element("output", "", this.sizer, { "data-testid": "add-size" });
    button(this.sizer, { sign: "+", name: "Larger added point" }, "add-larger", () => this.resize(1.15));
    this.legend = element("div", "legend", root, { role: "group", "aria-label": "Legend" });
  }

  update(data) {
    const fresh = !this.data || this.data.picture !== data.picture;
    this.data = data;
    this.pending = this.tools.waiting();
    this.toldOf = null; // rows of another reading are other points
    this.note.style.display = "none";
    this.paths = new Map();
    if (fresh) this.diameter = data.add_diameter_mm;
    if (!data.tools.some((tool) => tool.kind === this.tool?.kind)) this.choose(data.tools[0]);
    else this.choose(data.tools.find((tool) => tool.kind === this.tool.kind), true);
    if (this.summary.textContent !== data.summary) this.summary.textContent = data.summary;
    this.makeTools();
    this.makeLegend();
    this.stage.box.dataset.pxPerMm = data.px_per_mm;
    whenPicture(data.picture, (image) => {
      if (this.data.picture === data.picture) this.stage.show(image, [image.naturalWidth, image.naturalHeight]);
    });
    this.stage.redraw();
  }

  destroy() { this.stage.destroy(); }

  scrolls() { return this.tool?.taps === 0; }

  // places in mm and on the stage

  toMm(at) {
    const { origin_mm: origin, px_per_mm: scale } = this.data;
    return this.stage.place(at).map((value, axis) => value / scale + origin[axis]);
  }

  toStage(place) {
    const { origin_mm: origin, px_per_mm: scale } = this.data;
    return this.stage.at(place.map((value, axis) => (value - origin[axis]) * scale));
  }

  // tools

  makeTools() {
    const kinds = this.data.tools.map((tool) => tool.kind).join();
    if (kinds === this.kinds) return;
    this.kinds = kinds;
    this.toolBar.replaceChildren();
    this.toolBar.hidden = this.data.tools.length < 2;
    for (const tool of this.data.tools) {
      const made = button(this.toolBar, tool.label, `tool-${tool.kind}`, () => this.choose(tool));
      made.setAttribute("role", "radio");
      made.dataset.kind = tool.kind;
    }
    this.choose(this.tool, true);
  }

  choose(tool, keep = false) {
    this.tool = tool;
    if (!keep) {
      this.taps = [];
      this.note.style.display = "none";
    }
    for (const made of this.toolBar.children)
      made.setAttribute("aria-checked", String(made.dataset.kind === tool.kind));
    this.told();
  }

  told() {
    const { tool, taps } = this;
    const polygon = tool.taps > 2;
    let text = tool.hint;
    if (tool.taps > 1 && taps.length > 0 && !polygon) text = tool.second;
    if (polygon && taps.length > 0) text = `${taps.length} corners. ${taps.length < 3 ? "Tap the next one." : tool.second}`;
    if (this.pending > 0) text = this.data.busy;
    if (this.hint.textContent !== text) this.hint.textContent = text;
    this.finish.hidden = !polygon;
    this.finish.disabled = taps.length < 3;
    this.back.hidden = tool.taps < 2;
    this.back.disabled = taps.length === 0;
    this.sizer.hidden = tool.kind !== "add";
    if (this.diameter) this.sizeText.textContent = `${this.length(this.diameter)} across`;
    this.stage.box.dataset.tool = tool.kind;
    this.stage.redraw();
  }

  resize(factor) {
    this.diameter = Math.min(50, Math.max(0.3, this.diameter * factor));
    this.told();
  }

  tap(at, type) {
    if (!this.stage.inside(this.stage.place(at))) return;
    if (this.tool.taps === 0) {
      this.look(at, type === "mouse" ? REACH_PX : REACH_FINGER_PX);
      return;
    }
    const first = this.taps[0] && this.toStage(this.taps[0]);
    const closes = this.taps.length > 2 && Math.hypot(first[0] - at[0], first[1] - at[1]) < REACH_FINGER_PX;
    if (this.tool.taps > 2 && closes) {
      this.sendTaps();
      return;
    }
    this.taps.push(this.toMm(at));
    if (this.taps.length === this.tool.taps && this.tool.taps < 3) this.sendTaps();
    else this.told();
  }

  takeBack() {
    this.taps.pop();
    this.told();
  }

  sendTaps() {
    const places = this.taps.map((place) => place.map((value) => Math.round(value * 1000) / 1000));
    const size = this.tool.kind === "add" ? Math.round(this.diameter * 100) / 100 : 0;
    this.lastSent = places;
    this.taps = [];
    this.pending = 1;
    this.tools.send({ kind: this.tool.kind, places, diameter_mm: size });
    this.told();
  }

  key(event) {
    if (event.key === "+") this.stage.zoom(1.6);
    else if (event.key === "-") this.stage.zoom(1 / 1.6);
    else if (event.key === "Escape") this.choose(this.data.tools[0]);
    else if (event.key === "Enter" && this.tool.taps > 2 && this.taps.length > 2) this.sendTaps();
    else {
      const ways = { ArrowLeft: [40, 0], ArrowRight: [-40, 0], ArrowUp: [0, 40], ArrowDown: [0, -40] };
      if (!ways[event.key] || !this.stage.zoomed) return;
      this.stage.shift(...ways[event.key]);
    }
    event.preventDefault();
  }

  // numbers of what lies under the pointer

  hover(at) {
    this.mouse = at;
    if (TELLING.has(this.tool.kind)) this.look(at, REACH_PX);
    else this.note.style.display = "none";
    if (this.tool.kind === "add" || this.taps.length > 0) this.stage.redraw();
  }

  away() {
    this.mouse = null;
    this.note.style.display = "none";
    this.stage.redraw();
  }

  look(at, reach) {
    const point = this.pointAt(at, reach);
    if (point !== this.toldOf) {
      this.toldOf = point;
      this.stage.redraw();
    }
    const lines = point === null ? this.cellAt(at) : this.pointLines(point);
    this.note.style.display = lines ? "block" : "none";
    if (!lines) return;
    this.note.replaceChildren();
    lines.forEach((line, index) => { element(index ? "div" : "b", "", this.note).textContent = line; });
    const { width, height } = this.stage;
    const [wide, high] = [this.note.offsetWidth, this.note.offsetHeight];
    const left = at[0] + 16 + wide > width ? Math.max(2, at[0] - 16 - wide) : at[0] + 16;
    const top = at[1] + 16 + high > height ? Math.max(2, at[1] - 16 - high) : at[1] + 16;
    this.note.style.transform = `translate(${Math.min(left, Math.max(2, width - wide - 2))}px, ${top}px)`;
  }

  pointAt(at, reach) {
    const { points } = this.data;
    const perMm = this.data.px_per_mm * this.stage.scale;
    const [x, y] = this.toMm(at);
    let [best, found] = [Infinity, -1];
    for (const layer of this.data.layers) {
      if (layer.kind !== "points" || this.isOff(layer)) continue;
      for (const index of layer.at) {
        const apart = Math.hypot(points.x_mm[index] - x, points.y_mm[index] - y);
        const near = Math.max(points.diameter_mm[index] / 2, reach / perMm);
        if (apart <= near && apart < best) [best, found] = [apart, index];
      }
    }
    return found < 0 ? null : found;
  }

  pointLines(index) {
    const { points } = this.data;
    const flags = points.flags[index];
    const lines = [
      `Point ${index + 1}${flags ? `: ${flags}` : ""}`,
      this.placeText(points.x_mm[index], points.y_mm[index]),
      `${this.length(points.diameter_mm[index])} across, ${this.area(points.area_mm2[index])}`,
    ];
    const film = points.film_share[index];
    if (film !== null) lines.push(`film ${film.toFixed(2)} of the full film`);
    return lines;
  }

  cellAt(at) {
    const layer = this.data.layers.find((one) => one.kind === "cells");
    if (!layer || this.isOff(layer)) return null;
    const [x, y] = this.toMm(at);
    const { cells } = this.data;
    const inside = (value, low) => value >= low && value < low + cells.side_mm;
    const found = cells.x_mm.findIndex((left, index) => inside(x, left) && inside(y, cells.y_mm[index]));
    if (found < 0) return null;
    const part = cells.enough[found] ? "" : ", less than half of it face";
    return [
      `Square ${cells.column[found] + 1} across, ${cells.row[found] + 1} down${part}`,
      `${cells.points[found]} points, contact ${cells.contact_percent[found].toFixed(1)} %`,
    ];
  }

  get inch() { return this.data.units === "inch"; }
  length(mm) { return this.inch ? `${(mm / 25.4).toFixed(3)} in` : `${mm.toFixed(2)} mm`; }
  area(mm2) { return this.inch ? `${(mm2 / 645.16).toFixed(4)} in2` : `${mm2.toFixed(2)} mm2`; }

  placeText(x, y) {
    const told = (mm) => (this.inch ? `${(mm / 25.4).toFixed(2)} in` : `${mm.toFixed(1)} mm`);
    return `${told(x)} right, ${told(y)} down`;
  }

  // the legend

  isOff(layer) { return this.off.get(layer.key) ?? !layer.shown; }

  makeLegend() {
    this.legend.replaceChildren();
    for (const layer of this.data.layers) {
      const label = element("label", "entry", this.legend);
      const box = element("input", "", label, { type: "checkbox", "data-testid": `layer-${layer.key}` });
      box.checked = !this.isOff(layer);
      box.addEventListener("change", () => {
        this.off.set(layer.key, !box.checked);
        this.stage.redraw();
      });
      swatch(label, layer);
      element("span", "", label).textContent = layer.label;
    }
  }

  // drawing

  draw(pen) {
    if (!this.data || !this.stage.image) return;
    const [left, top] = this.toStage([0, 0]);
    Object.assign(this.stage.box.dataset, {
      left: left.toFixed(2), top: top.toFixed(2), scale: (this.data.px_per_mm * this.stage.scale).toFixed(4),
    });
    for (const layer of this.data.layers) if (!this.isOff(layer)) this.drawLayer(pen, layer);
    this.drawTold(pen);
    this.drawTaps(pen);
  }

  // a ring round the point whose numbers are told
  drawTold(pen) {
    if (this.toldOf === null || this.note.style.display !== "block") return;
    const { points } = this.data;
    const [x, y] = this.toStage([points.x_mm[this.toldOf], points.y_mm[this.toldOf]]);
    const radius = (points.diameter_mm[this.toldOf] / 2) * this.data.px_per_mm * this.stage.scale;
    this.drawCircle(pen, x, y, Math.max(8, radius + 3));
  }

  drawLayer(pen, layer) {
    if (layer.kind === "points") this.drawPoints(pen, layer);
    else if (layer.kind === "places") {
      for (const place of layer.places) marker(pen, layer.shape, ...this.toStage(place), 6, layer.colour);
    } else this.drawLines(pen, layer);
  }

  drawPoints(pen, layer) {
    const { points } = this.data;
    const perMm = this.data.px_per_mm * this.stage.scale;
    const radius = Math.min(7, Math.max(1.3, (this.data.typical_mm * perMm) / 6));
    const { width, height } = this.stage;
    for (const index of layer.at) {
      const [x, y] = this.toStage([points.x_mm[index], points.y_mm[index]]);
      if (x > -9 && y > -9 && x < width + 9 && y < height + 9)
        marker(pen, layer.shape, x, y, layer.larger ? radius * 1.9 : radius, layer.colour);
    }
  }

  pathOf(layer) {
    if (!this.paths.has(layer.key)) {
      const path = new Path2D();
      for (const line of layer.lines_um) {
        for (let i = 0; i < line.length; i += 2) {
          if (i) path.lineTo(line[i] / 1000, line[i + 1] / 1000);
          else path.moveTo(line[i] / 1000, line[i + 1] / 1000);
        }
        if (layer.closed) path.closePath();
      }
      this.paths.set(layer.key, path);
    }
    return this.paths.get(layer.key);
  }

  drawLines(pen, layer) {
    const path = this.pathOf(layer);
    const perMm = this.data.px_per_mm * this.stage.scale;
    const [left, top] = this.toStage([0, 0]);
    pen.save();
    pen.translate(left, top);
    pen.scale(perMm, perMm);
    if (layer.shape === "hatch") {
      const pattern = hatch(pen);
      pattern.setTransform(new DOMMatrix().scale(1 / perMm));
      pen.globalAlpha = 0.75;
      pen.fillStyle = pattern;
      pen.fill(path, "evenodd");
      pen.globalAlpha = 1;
    }
    if (layer.fill > 0) {
      pen.globalAlpha = layer.fill;
      pen.fillStyle = layer.colour;
      pen.fill(path, "evenodd");
      pen.globalAlpha = 1;
    }
    // where a millimetre is a pixel or two, thick lines would hide what they are drawn round
    const thin = Math.min(1, Math.max(0.55, 0.4 + perMm / 6));
    inked(pen, layer, layer.thick * thin, 1 / perMm, () => pen.stroke(path));
    pen.restore();
  }

  drawTaps(pen) {
    const line = this.taps.map((place) => this.toStage(place));
    if (this.pending && this.lastSent) line.push(...this.lastSent.map((place) => this.toStage(place)));
    const rubber = this.taps.length > 0 && this.mouse ? [...line, this.mouse] : line;
    if (rubber.length > 1) {
      inked(pen, { colour: "#ffffff", cased: NIGHT, shape: "dashes" }, 1.5, 1, () => {
        pen.beginPath();
        rubber.forEach(([x, y], index) => (index ? pen.lineTo(x, y) : pen.moveTo(x, y)));
        pen.stroke();
      });
    }
    for (const [x, y] of line) marker(pen, "plus", x, y, 6, "#ffffff");
    if (this.tool.kind === "add" && this.mouse) this.drawAdded(pen, this.mouse);
  }

  drawAdded(pen, [x, y]) {
    this.drawCircle(pen, x, y, (this.diameter / 2) * this.data.px_per_mm * this.stage.scale);
  }

  drawCircle(pen, x, y, radius) {
    inked(pen, { colour: "#ffffff", cased: NIGHT, shape: "line" }, 1.5, 1, () => {
      pen.beginPath();
      pen.arc(x, y, radius, 0, 2 * Math.PI);
      pen.stroke();
    });
  }
}
