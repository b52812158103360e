// A frame that holds one or both prints at the same place; enlarged, it is moved about in.

// A long face is shown at least this high, and moved about in.
const LEAST_HEIGHT_PX = 130;

class Stage {
  constructor(parent, sides) {
    const window = element("div", "window", parent);
    this.frame = element("div", "frame", window);
    this.inner = element("div", "inner", this.frame);
    this.sheets = sides.map((side) => new Sheet(this.inner, window, side));
    this.watcher = new ResizeObserver(() => {
      this.frame.classList.toggle("enlarged", this.inner.clientWidth > this.frame.clientWidth + 1);
      this.sheets.forEach((sheet) => sheet.draw());
    });
    this.watcher.observe(this.inner);
  }

  update(prints, size, shown, zoom) {
    this.size = size;
    this.frame.style.aspectRatio = this.inner.style.aspectRatio = `${size[0]} / ${size[1]}`;
    this.frame.style.minHeight = `${LEAST_HEIGHT_PX}px`;
    this.zoomTo(zoom);
    this.sheets.forEach((sheet, at) => sheet.update(prints[at], size, shown));
  }

  zoomTo(zoom) {
    const { frame, inner } = this;
    const middle = [
      (frame.scrollLeft + frame.clientWidth / 2) / (inner.clientWidth || 1),
      (frame.scrollTop + frame.clientHeight / 2) / (inner.clientHeight || 1),
    ];
    const least_px = (LEAST_HEIGHT_PX * this.size[0]) / this.size[1];
    inner.style.width = `max(${100 * zoom}%, ${least_px * zoom}px)`;
    frame.classList.add("enlarged");
    this.scrollTo(
      middle[0] * inner.clientWidth - frame.clientWidth / 2,
      middle[1] * inner.clientHeight - frame.clientHeight / 2,
    );
  }

  scrollTo(left, top) {
    this.frame.scrollLeft = left;
    this.frame.scrollTop = top;
    this.put = [this.frame.scrollLeft, this.frame.scrollTop];
  }

  // A frame that was put where it is tells of it later, when the other may have moved on.
  movedByHand() {
    const { frame, put } = this;
    return !put || Math.abs(frame.scrollLeft - put[0]) > 1 || Math.abs(frame.scrollTop - put[1]) > 1;
  }

  destroy() {
    this.watcher.disconnect();
  }
}
