// A frame that holds one or both prints at the same place; enlarged, it is moved about in.

class Stage {
  constructor(parent, sides) {
    const window = element("div", "window", parent);
    this.frame = element("div", "frame", window);
    this.inner = element("div", "inner", this.frame);
    this.sheets = sides.map((side) => new Sheet(this.inner, window, side));
    this.watcher = new ResizeObserver(() => this.sheets.forEach((sheet) => sheet.draw()));
    this.watcher.observe(this.inner);
  }

  update(prints, size, shown, zoom) {
    this.frame.style.aspectRatio = `${size[0]} / ${size[1]}`;
    this.zoomTo(zoom);
    this.sheets.forEach((sheet, at) => sheet.update(prints[at], size, shown));
  }

  zoomTo(zoom) {
    const { frame, inner } = this;
    const middle = [
      (frame.scrollLeft + frame.clientWidth / 2) / (inner.clientWidth || 1),
      (frame.scrollTop + frame.clientHeight / 2) / (inner.clientHeight || 1),
    ];
    inner.style.width = inner.style.height = `${100 * zoom}%`;
    frame.classList.toggle("enlarged", zoom > 1);
    frame.scrollLeft = middle[0] * inner.clientWidth - frame.clientWidth / 2;
    frame.scrollTop = middle[1] * inner.clientHeight - frame.clientHeight / 2;
  }

  destroy() {
    this.watcher.disconnect();
  }
}
