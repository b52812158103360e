// Pictures that were sent, by their key: each crosses the network once, while marks and modes change.

const pictures = (globalThis.scrapeviewCompared ??= new Map());
const awaited = (globalThis.scrapeviewAwaited ??= new Map());
const MOST_PICTURES = 12;
// The number of letters of a key is fixed: it comes before the picture in the bytes.
const KEY_LETTERS = 64;

function keepSent(bytes) {
  const key = new TextDecoder().decode(bytes.slice(0, KEY_LETTERS));
  if (!pictures.has(key)) {
    const blob = new Blob([bytes.slice(KEY_LETTERS)], { type: "image/jpeg" });
    pictures.set(key, URL.createObjectURL(blob));
    while (pictures.size > MOST_PICTURES) forgetOldest();
  }
  for (const tell of awaited.get(key) ?? []) tell(pictures.get(key));
  awaited.delete(key);
}

function forgetOldest() {
  const [oldest, url] = pictures.entries().next().value;
  URL.revokeObjectURL(url);
  pictures.delete(oldest);
}

function whenSent(key, tell) {
  if (pictures.has(key)) tell(pictures.get(key));
  else awaited.set(key, [...(awaited.get(key) ?? []), tell]);
}
