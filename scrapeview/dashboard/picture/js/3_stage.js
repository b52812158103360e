// The stage: a picture that can be zoomed and moved, and who takes what the pointer does on it.
// A place on it is a place in picture pixels, an integer being a pixel's centre.

const MOVED_PX = 6;
const MOST_ZOOM = 24;
const LEAST_HEIGHT_PX = 210;

class Stage {
  constructor(parent, hand) {
    this.hand = hand;
    this.box = element("div", "stage", parent, { tabindex: "0", "data-testid": "picture-stage" });
    this.canvas = element("canvas", "", this.box);
    this.over = element("div", "over", this.box);
    this.size = [4, 3];
    this.image = null;
    this.scale = 1;
    this.left = 0;
    this.top = 0;
    this.pointers = new Map();
    this.listen();
    this.observer = new ResizeObserver(() => this.resized());
    this.observer.observe(parent);
  }

  destroy() {
    this.observer.disconnect();
    cancelAnimationFrame(this.frame);
  }

  show(image, size) {
    const same = this.size[0] === size[0] && this.size[1] === size[1] && this.image;
    this.image = image;
    this.size = size;
    if (!same) this.whole();
    this.resized();
  }

  get width() { return this.box.clientWidth; }
  get height() { return this.box.clientHeight; }
  get fitting() { return Math.min(this.width / this.size[0], this.height / this.size[1]); }
  get zoomed() { return this.scale > this.fitting * 1.01; }

  resized() {
    const wide = this.box.clientWidth;
    if (!wide) return;
    const most = Math.max(LEAST_HEIGHT_PX, 0.72 * window.innerHeight);
    const high = Math.round(Math.min(most, Math.max(LEAST_HEIGHT_PX, (wide * this.size[1]) / this.size[0])));
    const changed = high !== this.high || wide !== this.wide;
    this.high = high;
    this.wide = wide;
    this.box.style.height = `${high}px`;
    if (changed && !this.kept) this.whole();
    const dense = window.devicePixelRatio || 1;
    this.canvas.width = Math.round(wide * dense);
    this.canvas.height = Math.round(high * dense);
    this.within();
    this.redraw();
  }

  whole() {
    this.kept = false;
    this.scale = this.fitting;
    this.within();
    this.redraw();
  }

  zoom(factor, at = [this.width / 2, this.height / 2]) {
    const scale = Math.min(Math.max(this.scale * factor, this.fitting), MOST_ZOOM);
    if (scale === this.scale) return false;
    const [x, y] = this.place(at);
    this.scale = scale;
    this.kept = this.zoomed;
    this.left = at[0] - (x + 0.5) * scale;
    this.top = at[1] - (y + 0.5) * scale;
    this.within();
    this.redraw();
    return true;
  }

  within() {
    const [wide, high] = [this.size[0] * this.scale, this.size[1] * this.scale];
    const kept = (at, length, room) =>
      length <= room ? (room - length) / 2 : Math.min(0, Math.max(room - length, at));
    this.left = kept(this.left, wide, this.width);
    this.top = kept(this.top, high, this.height);
  }

  // show a place, moved no more than needed
  reveal([x, y]) {
    const [left, top] = this.at([x, y]);
    const rim = 40;
    if (left < rim) this.left += rim - left;
    if (left > this.width - rim) this.left -= left - this.width + rim;
    if (top < rim) this.top += rim - top;
    if (top > this.height - rim) this.top -= top - this.height + rim;
    this.within();
  }

  place([left, top]) {
    return [(left - this.left) / this.scale - 0.5, (top - this.top) / this.scale - 0.5];
  }

  at([x, y]) {
    return [(x + 0.5) * this.scale + this.left, (y + 0.5) * this.scale + this.top];
  }

  inside([x, y]) {
    return x >= -0.5 && y >= -0.5 && x <= this.size[0] - 0.5 && y <= this.size[1] - 0.5;
  }

  redraw() {
    cancelAnimationFrame(this.frame);
    this.frame = requestAnimationFrame(() => this.draw());
  }

  draw() {
    const dense = window.devicePixelRatio || 1;
    const pen = this.canvas.getContext("2d");
    pen.setTransform(dense, 0, 0, dense, 0, 0);
    pen.clearRect(0, 0, this.width, this.height);
    if (this.image) {
      pen.imageSmoothingEnabled = this.scale < 4;
      const [wide, high] = [this.size[0] * this.scale, this.size[1] * this.scale];
      pen.drawImage(this.image, this.left, this.top, wide, high);
    }
    this.box.style.touchAction = this.hand.scrolls?.() && !this.zoomed ? "pan-y" : "none";
    this.hand.draw(pen);
  }

  where(event) {
    const box = this.box.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  listen() {
    const on = (name, act, options) => this.box.addEventListener(name, act, options);
    on("pointerdown", (event) => this.down(event));
    on("pointermove", (event) => this.moved(event));
    on("pointerup", (event) => this.up(event));
    on("pointercancel", (event) => this.cancelled(event));
    // a finger leaves with every tap, and what it asked for is to stay
    on("pointerleave", (event) => event.pointerType === "mouse" && this.pointers.size === 0 && this.hand.away?.());
    on("wheel", (event) => this.wheeled(event), { passive: false });
    on("keydown", (event) => this.hand.key?.(event));
    on("contextmenu", (event) => event.preventDefault());
  }

  down(event) {
    if (event.button > 0) return;
    const at = this.where(event);
    try {
      this.box.setPointerCapture(event.pointerId);
    } catch {
      return; // the pointer has gone already
    }
    this.pointers.set(event.pointerId, at);
    if (this.pointers.size > 1) {
      if (this.held) this.hand.cancel?.();
      this.held = false;
      this.still = false;
      return;
    }
    this.start = at;
    this.still = true;
    this.held = Boolean(this.hand.down?.(at, event.pointerType));
  }

  moved(event) {
    const at = this.where(event);
    const before = this.pointers.get(event.pointerId);
    if (!before) {
      if (event.pointerType === "mouse") this.hand.hover?.(at);
      return;
    }
    if (this.pointers.size > 1) {
      this.pinched(event.pointerId, at);
      return;
    }
    const far = Math.hypot(at[0] - this.start[0], at[1] - this.start[1]) > MOVED_PX;
    if (this.held) {
      if (far) this.still = false;
      this.hand.drag?.(at, this.still);
    } else if (far || !this.still) {
      this.still = false;
      this.shift(at[0] - before[0], at[1] - before[1]);
    }
    this.pointers.set(event.pointerId, at);
  }

  shift(right, down) {
    this.left += right;
    this.top += down;
    this.kept = this.zoomed;
    this.within();
    this.redraw();
  }

  pinched(id, at) {
    const other = [...this.pointers.entries()].find(([key]) => key !== id)?.[1];
    const before = this.pointers.get(id);
    const apart = (p) => Math.max(1, Math.hypot(p[0] - other[0], p[1] - other[1]));
    const middle = [(at[0] + other[0]) / 2, (at[1] + other[1]) / 2];
    this.zoom(apart(at) / apart(before), middle);
    this.shift((at[0] - before[0]) / 2, (at[1] - before[1]) / 2);
    this.pointers.set(id, at);
  }

  up(event) {
    if (!this.pointers.delete(event.pointerId)) return;
    if (this.pointers.size > 0) return;
    const at = this.where(event);
    if (this.held) this.hand.drop?.(at, this.still);
    else if (this.still) this.hand.tap?.(at, event.pointerType);
    this.held = false;
  }

  cancelled(event) {
    this.pointers.delete(event.pointerId);
    if (this.held) this.hand.cancel?.();
    this.held = false;
    this.still = false;
  }

  wheeled(event) {
    const factor = Math.exp(-Math.max(-240, Math.min(240, event.deltaY)) / 400);
    if (this.zoom(factor, this.where(event))) event.preventDefault();
  }
}

function zoomButtons(bar, stage) {
  button(bar, { sign: "+", name: "Zoom in" }, "zoom-in", () => stage.zoom(1.6));
  button(bar, { sign: "−", name: "Zoom out" }, "zoom-out", () => stage.zoom(1 / 1.6));
  button(bar, "Whole", "zoom-whole", () => stage.whole());
}
