"""From linear light to a phone's JPEG: blur, noise, tone, colour, sharpening, compression."""

import io

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from scrapeview.simulate.fields import Field, generator, noise_image
from scrapeview.simulate.scene import Camera

LEVELS = 16384
"""Steps of the tone table over linear light 0 to `WHITE`."""

WHITE = 1.6
METAL_SRGB = 165 / 255
METAL_LINEAR = 0.36


def expose(photo: Field, camera: Camera, seed: int) -> NDArray[np.uint8]:
    """Return the sRGB picture (H, W, 3) a phone makes of linear light.

    Parameters
    ----------
    photo : linear light (H, W, 3); changed in place.
    camera : blur, noise, exposure and processing.
    seed : fixes the noise.
    """
    photo = _blur(photo, camera)
    gain = _srgb_to_linear(METAL_SRGB) / METAL_LINEAR * 2.0**camera.exposure_ev
    photo *= np.float32(gain)
    photo = _add_noise(photo, camera, seed)
    picture = _tone(photo, camera)
    return _process(picture, camera)


def encode_jpeg(rgb: NDArray[np.uint8], camera: Camera) -> bytes:
    """Return the picture as a JPEG with 4:2:0 chroma and, where asked, the time in EXIF."""
    image, out = Image.fromarray(rgb), io.BytesIO()
    exif = Image.Exif()
    if camera.taken_at:
        exif[0x0132] = camera.taken_at
        exif.get_ifd(0x8769)[0x9003] = camera.taken_at
    image.save(out, "JPEG", quality=camera.jpeg_quality, subsampling=2, exif=exif.tobytes())
    return out.getvalue()


def _blur(photo: Field, camera: Camera) -> Field:
    if camera.blur_px > 0.2:
        photo = cv2.GaussianBlur(photo, (0, 0), camera.blur_px)
    if camera.motion_px > 1:
        photo = cv2.filter2D(photo, -1, _motion_kernel(camera.motion_px, camera.motion_deg))
    return photo


def _motion_kernel(length_px: float, degrees: float) -> Field:
    reach = int(np.ceil(length_px / 2)) + 1
    kernel = np.zeros((2 * reach + 1, 2 * reach + 1), np.float32)
    for step in np.linspace(-length_px / 2, length_px / 2, 8 * reach + 1):
        x = reach + step * np.cos(np.deg2rad(degrees))
        y = reach + step * np.sin(np.deg2rad(degrees))
        left, top = int(x), int(y)
        for row, share_y in ((top, 1 - y + top), (top + 1, y - top)):
            for column, share_x in ((left, 1 - x + left), (left + 1, x - left)):
                kernel[row, column] += share_x * share_y
    return kernel / kernel.sum()


def _add_noise(photo: Field, camera: Camera, seed: int) -> Field:
    """Add shot and read noise: common to all channels and, smoothed as phones do, in colour."""
    if camera.noise <= 0:
        return photo
    rng = generator(seed, "noise")
    height, width = photo.shape[:2]
    common = noise_image(rng, (height, width))
    colour = noise_image(rng, (-(-height // 2), -(-width // 2), 3))
    colour = cv2.GaussianBlur(colour, (0, 0), max(camera.denoise_px / 2, 0.3))
    colour = cv2.resize(colour, (width, height), interpolation=cv2.INTER_LINEAR)
    if camera.denoise_px > 1:
        common = cv2.GaussianBlur(common, (0, 0), 0.3 * camera.denoise_px)
    colour = cv2.add(colour, cv2.merge([common] * 3))
    brightness = np.maximum(cv2.cvtColor(photo, cv2.COLOR_RGB2GRAY), 0)
    # shot noise grows with the root of the light, read noise stays; fewer photons when gained up
    spread = 0.010 * camera.noise * cv2.sqrt(brightness + 0.01)
    return cv2.add(photo, colour * spread[..., None])


def _tone(photo: Field, camera: Camera) -> Field:
    """Return display values 0 to 255 through sRGB's curve and a phone's S-curve."""
    level = np.linspace(0, WHITE, LEVELS)
    # shoulder: bright light is rolled off from 0.8 instead of clipped at once
    rolled = np.where(level > 0.8, 0.8 + 0.2 * np.tanh((level - 0.8) / 0.35), level)
    shown = np.where(
        rolled <= 0.0031308, 12.92 * rolled, 1.055 * np.maximum(rolled, 1e-9) ** (1 / 2.4) - 0.055
    )
    curved = shown + camera.contrast * 0.6 * (shown - 0.5) * shown * (1 - shown) * 2
    table = (255 * np.clip(curved, 0, 1)).astype(np.float32)
    index = photo * np.float32(LEVELS / WHITE)
    index = np.clip(index, 0, LEVELS - 1, out=index).astype(np.uint16)
    return table[index]


def _process(picture: Field, camera: Camera) -> NDArray[np.uint8]:
    if camera.sharpening > 0:
        soft = cv2.GaussianBlur(picture, (0, 0), 1.3)
        picture = cv2.addWeighted(picture, 1 + camera.sharpening, soft, -camera.sharpening, 0)
    if camera.saturation != 1:
        grey = np.array([0.299, 0.587, 0.114], np.float32)
        mix = camera.saturation * np.eye(3, dtype=np.float32)
        picture = cv2.transform(picture, mix + (1 - camera.saturation) * np.tile(grey, (3, 1)))
    shown: NDArray[np.uint8] = np.clip(picture + 0.5, 0, 255).astype(np.uint8)
    return shown


def _srgb_to_linear(value: float) -> float:
    return ((value + 0.055) / 1.055) ** 2.4
