// Pictures that were sent, by their key, shared by all components of the page: a picture crosses the
// network once, while the layers over it change with every correction.

const pictures = (globalThis.scrapeviewPictures ??= new Map());
const waiting = (globalThis.scrapeviewWaiting ??= new Map());
const MOST_PICTURES = 6;

function keepPicture(key, bytes) {
  if (pictures.has(key)) return;
  const url = URL.createObjectURL(new Blob([bytes], { type: "image/jpeg" }));
  const image = new Image();
  image.onload = () => {
    pictures.set(key, image);
    forgetOldest();
    for (const tell of waiting.get(key) ?? []) tell(image);
    waiting.delete(key);
  };
  image.src = url;
}

function forgetOldest() {
  while (pictures.size > MOST_PICTURES) {
    const [oldest, image] = pictures.entries().next().value;
    URL.revokeObjectURL(image.src);
    pictures.delete(oldest);
  }
}

function whenPicture(key, tell) {
  const image = pictures.get(key);
  if (image) tell(image);
  else waiting.set(key, [...(waiting.get(key) ?? []), tell]);
}

// The number of letters of a key is fixed: it comes before the picture in the bytes.
const KEY_LETTERS = 64;

function keepSent(bytes) {
  const key = new TextDecoder().decode(bytes.slice(0, KEY_LETTERS));
  keepPicture(key, bytes.slice(KEY_LETTERS));
  return key;
}
