"""Every kind of file comes in upright as 8-bit sRGB, or is refused in a plain sentence."""

import contextlib
import hashlib
import io
import struct
import zlib
from pathlib import Path

import cv2
import numpy as np
import pytest
import tifffile
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms

from scrapeview.errors import PhotoError, SettingsError
from scrapeview.photo import load_photo

HEIC = Path(__file__).with_name("turned.heic")
BLUE, RED, METAL = (40, 60, 160), (180, 50, 40), (170, 170, 170)
# what is stored is turned by this so that EXIF's orientation brings it back upright
STORED = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.transpose(1, 0, 2),
    6: lambda a: np.rot90(a, 1),
    7: lambda a: a.transpose(1, 0, 2)[::-1, ::-1],
    8: lambda a: np.rot90(a, -1),
}


def scene(width: int = 96, height: int = 64) -> np.ndarray:
    """Bare metal, its top left quarter blue and its top right quarter red."""
    rgb = np.full((height, width, 3), METAL, np.uint8)
    rgb[: height // 2, : width // 2] = BLUE
    rgb[: height // 2, width // 2 :] = RED
    return rgb


def texture(width: int, height: int, seed: int = 3) -> np.ndarray:
    rng = np.random.default_rng(seed)
    coarse = rng.integers(20, 235, (height // 8 + 1, width // 8 + 1, 3), dtype=np.uint8)
    return cv2.resize(coarse, (width, height), interpolation=cv2.INTER_CUBIC)


def encoded(rgb: np.ndarray, kind: str = "PNG", **options: object) -> bytes:
    stream = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(rgb)).save(stream, kind, **options)
    return stream.getvalue()


def exif(orientation: int = 1, taken: str | None = None, offset: str | None = None) -> Image.Exif:
    block = Image.Exif()
    block[0x0112] = orientation
    details = block.get_ifd(0x8769)
    if taken is not None:
        details[0x9003] = taken
    if offset is not None:
        details[0x9011] = offset
    return block


def corner_colours(rgb: np.ndarray) -> list[np.ndarray]:
    return [rgb[5, 5], rgb[5, -5], rgb[-5, 5], rgb[-5, -5]]


def assert_upright(rgb: np.ndarray, tolerance: int = 6) -> None:
    found = np.array(corner_colours(rgb), dtype=int)
    np.testing.assert_allclose(found, [BLUE, RED, METAL, METAL], atol=tolerance)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP"])
def test_every_orientation_of_every_kind_comes_in_upright(kind: str, orientation: int) -> None:
    data = encoded(STORED[orientation](scene()), kind, exif=exif(orientation))
    photo = load_photo(data)
    assert photo.full_size_px == (96, 64)
    assert photo.rgb.shape == (64, 96, 3)
    assert photo.rgb.dtype == np.uint8
    assert photo.rgb.flags.c_contiguous
    assert photo.source_format == kind
    assert_upright(photo.rgb)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("reduction", [2, 4, 8])
def test_reduced_jpeg_is_turned_like_the_full_one(orientation: int, reduction: int) -> None:
    rgb = texture(320, 192)
    data = encoded(STORED[orientation](rgb), "JPEG", exif=exif(orientation), quality=95)
    photo = load_photo(data, reduction=reduction)
    assert photo.reduction == reduction
    assert photo.full_size_px == (320, 192)
    expected = cv2.resize(rgb, (320 // reduction, 192 // reduction), interpolation=cv2.INTER_AREA)
    assert photo.rgb.shape == expected.shape
    assert np.abs(photo.rgb.astype(int) - expected).mean() < 4


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("size", [(321, 195), (322, 198), (324, 196)])
def test_reduced_pixels_lie_where_the_photo_says(size: tuple[int, int], orientation: int) -> None:
    # a bright spot on a grey ground: its centroid in reduced pixels gives back its full-size place
    width, height = size
    y, x = np.mgrid[:height, :width]
    spot = np.exp(-((x - 201.3) ** 2 + (y - 120.6) ** 2) / (2 * 9.0**2))
    rgb = np.repeat((60 + 150 * spot)[:, :, None], 3, axis=2).astype(np.uint8)
    data = encoded(STORED[orientation](rgb), "JPEG", exif=exif(orientation), quality=98)
    photo = load_photo(data, reduction=8)
    k = photo.reduction
    weight = np.clip(photo.rgb[:, :, 1].astype(float) - 75, 0, None)
    rows, columns = np.mgrid[: weight.shape[0], : weight.shape[1]]
    found = np.array([(columns * weight).sum(), (rows * weight).sum()]) / weight.sum()
    np.testing.assert_allclose((found + 0.5) * k - 0.5, [201.3, 120.6], atol=0.25)


def test_a_small_decode_is_refused_where_it_would_shift_the_grid() -> None:
    data = encoded(np.ascontiguousarray(texture(321, 192)[:, ::-1]), "JPEG", exif=exif(2))
    assert load_photo(data, reduction=4).reduction == 1
    assert load_photo(encoded(texture(321, 192), "JPEG"), reduction=4).reduction == 4


def test_only_jpeg_is_decoded_small() -> None:
    photo = load_photo(encoded(scene(), "PNG"), reduction=4)
    assert photo.reduction == 1
    assert photo.rgb.shape == (64, 96, 3)


@pytest.mark.parametrize("wrong", [0, 3, 16, 2.5])
def test_reduction_must_be_one_a_jpeg_can_have(wrong: float) -> None:
    with pytest.raises(SettingsError, match="reduction must be 1, 2, 4 or 8"):
        load_photo(encoded(scene()), reduction=wrong)  # type: ignore[arg-type]


def test_heic_is_read_upright_with_its_time() -> None:
    photo = load_photo(HEIC)
    assert photo.source_format == "HEIC"
    assert photo.full_size_px == (96, 64)
    assert photo.taken_at == "2024-05-03T10:11:12+02:00"
    assert_upright(photo.rgb)


@pytest.mark.parametrize(
    ("taken", "offset", "expected"),
    [
        ("2024:05:03 10:11:12", None, "2024-05-03T10:11:12"),
        ("2024:05:03 10:11:12", "-05:30", "2024-05-03T10:11:12-05:30"),
        ("2024:05:03 10:11:12", "   :  ", "2024-05-03T10:11:12"),
        ("0000:00:00 00:00:00", None, None),
        ("    :  :     :  :  ", None, None),
        (None, None, None),
    ],
)
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP"])
def test_time_taken_is_what_the_camera_wrote(
    kind: str, taken: str | None, offset: str | None, expected: str | None
) -> None:
    photo = load_photo(encoded(scene(), kind, exif=exif(1, taken, offset).tobytes()))
    assert photo.taken_at == expected


def test_a_damaged_exif_block_costs_the_time_and_not_the_photograph() -> None:
    block = b"Exif\0\0II*\0\x08\0\0\0\xff\xff\x12\x01garbage"
    photo = load_photo(encoded(scene(), "JPEG", exif=block))
    assert photo.taken_at is None
    assert_upright(photo.rgb)


def test_sha256_is_of_the_file_as_it_came(tmp_path: Path) -> None:
    data = encoded(scene(), "JPEG")
    path = tmp_path / "print 1.jpg"
    path.write_bytes(data)
    expected = hashlib.sha256(data).hexdigest()
    for source in (path, str(path), data, bytearray(data)):
        assert load_photo(source).sha256 == expected  # type: ignore[arg-type]
    assert load_photo(data, reduction=2).sha256 == expected


def test_sha256_of_an_array_tells_shape_and_pixels_apart() -> None:
    rgb = texture(40, 24)
    same = load_photo(rgb.copy()).sha256
    assert load_photo(rgb).sha256 == same
    assert load_photo(rgb.reshape(40, 24, 3)).sha256 != same
    changed = rgb.copy()
    changed[3, 4, 1] ^= 1
    assert load_photo(changed).sha256 != same


def test_an_array_is_taken_as_it_is_whatever_its_strides() -> None:
    rgb = texture(40, 24)
    photo = load_photo(rgb[:, ::-1])
    np.testing.assert_array_equal(photo.rgb, rgb[:, ::-1])
    assert photo.full_size_px == (40, 24)
    assert (photo.source_format, photo.taken_at, photo.reduction) == ("array", None, 1)


@pytest.mark.parametrize(
    "array",
    [
        np.zeros((20, 30), np.uint8),
        np.zeros((20, 30, 4), np.uint8),
        np.zeros((20, 30, 3), np.float64),
        np.zeros((20, 30, 3), np.uint16),
    ],
)
def test_other_arrays_are_refused(array: np.ndarray) -> None:
    with pytest.raises(PhotoError, match=r"must be \(H, W, 3\) uint8 in RGB order"):
        load_photo(array)


def test_an_array_without_pixels_is_refused() -> None:
    with pytest.raises(PhotoError, match="has no pixels"):
        load_photo(np.zeros((0, 30, 3), np.uint8))


def test_other_objects_are_refused() -> None:
    with pytest.raises(PhotoError, match=r"path, bytes or an .* array, not list"):
        load_photo([1, 2, 3])  # type: ignore[arg-type]


# --- kinds of pixel -------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
def test_grey_is_read_and_noted(kind: str) -> None:
    photo = load_photo(encoded(scene()[:, :, 2], kind))
    assert photo.rgb.shape == (64, 96, 3)
    np.testing.assert_allclose(photo.rgb[5, 5], [160] * 3, atol=3)
    assert any("grey" in note for note in photo.notes)


def test_sixteen_bit_grey_keeps_its_scale() -> None:
    grey = scene()[:, :, 2].astype(np.uint16) * 257
    for kind in ("PNG", "TIFF"):
        photo = load_photo(encoded(grey, kind))
        np.testing.assert_array_equal(photo.rgb[:, :, 0], scene()[:, :, 2])


def test_sixteen_bit_colour_keeps_its_scale(tmp_path: Path) -> None:
    deep = scene().astype(np.uint16) * 257
    for name in ("deep.png", "deep.tif"):
        cv2.imwrite(str(tmp_path / name), deep[:, :, ::-1])
        photo = load_photo(tmp_path / name)
        np.testing.assert_array_equal(photo.rgb, scene())


def test_palette_picture_is_read() -> None:
    stream = io.BytesIO()
    Image.fromarray(scene()).quantize(8).save(stream, "PNG")
    assert_upright(load_photo(stream.getvalue()).rgb)


def test_cmyk_is_converted_and_noted() -> None:
    stream = io.BytesIO()
    Image.fromarray(scene()).convert("CMYK").save(stream, "JPEG", quality=95)
    photo = load_photo(stream.getvalue(), reduction=2)
    assert photo.reduction == 1
    assert_upright(photo.rgb, tolerance=8)
    assert any("CMYK" in note for note in photo.notes)


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP"])
def test_opaque_alpha_is_dropped(kind: str) -> None:
    rgba = np.dstack((scene(), np.full((64, 96), 255, np.uint8)))
    options = {"lossless": True} if kind == "WEBP" else {}
    np.testing.assert_array_equal(load_photo(encoded(rgba, kind, **options)).rgb, scene())


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP"])
def test_see_through_pixels_are_refused(kind: str) -> None:
    alpha = np.full((64, 96), 255, np.uint8)
    alpha[10:12, 10:12] = 254
    with pytest.raises(PhotoError, match="see-through in places"):
        load_photo(encoded(np.dstack((scene(), alpha)), kind))


def test_see_through_palette_is_refused() -> None:
    stream = io.BytesIO()
    Image.fromarray(scene()).quantize(8).save(stream, "PNG", transparency=0)
    with pytest.raises(PhotoError, match="see-through in places"):
        load_photo(stream.getvalue())


def test_floating_point_grey_is_refused() -> None:
    with pytest.raises(PhotoError, match="32-bit or floating-point"):
        load_photo(encoded(scene()[:, :, 0].astype(np.float32), "TIFF"))


def test_floating_point_colour_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "float.tif"
    tifffile.imwrite(path, scene().astype(np.float32) / 255, photometric="rgb")
    with pytest.raises(PhotoError, match=r"'float\.tif' holds a kind of pixel that is not read"):
        load_photo(path)


# --- colour profiles ------------------------------------------------------------------------


def wide_profile() -> bytes:
    """An RGB profile of wider primaries than sRGB's: sRGB with its red and blue columns swapped.

    No camera writes it, but what it must do to a picture is known exactly: swap red and blue.
    """
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    count = struct.unpack(">I", profile[128:132])[0]
    names = {profile[132 + 12 * i : 136 + 12 * i].decode(): 132 + 12 * i for i in range(count)}
    red, blue = names["rXYZ"] + 4, names["bXYZ"] + 4
    profile[red : red + 8], profile[blue : blue + 8] = (
        profile[blue : blue + 8],
        profile[red : red + 8],
    )
    return bytes(profile)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP"])
def test_an_embedded_profile_is_applied_and_noted(kind: str) -> None:
    photo = load_photo(encoded(scene()[:, :, ::-1], kind, icc_profile=wide_profile()))
    assert_upright(photo.rgb, tolerance=8)
    assert any("colour profile" in note for note in photo.notes)


def test_an_embedded_srgb_profile_changes_nothing() -> None:
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    photo = load_photo(encoded(scene(), "PNG", icc_profile=srgb))
    np.testing.assert_array_equal(photo.rgb, scene())
    assert photo.notes == ()


def test_a_damaged_profile_is_passed_over() -> None:
    photo = load_photo(encoded(scene(), "PNG", icc_profile=b"not a profile" * 20))
    np.testing.assert_array_equal(photo.rgb, scene())


# --- files that are refused -----------------------------------------------------------------


def test_missing_file_folder_and_empty_file_are_named(tmp_path: Path) -> None:
    with pytest.raises(PhotoError, match=r"There is no file .*gone\.jpg"):
        load_photo(tmp_path / "gone.jpg")
    with pytest.raises(PhotoError, match="is a folder"):
        load_photo(tmp_path)
    (tmp_path / "empty.jpg").touch()
    with pytest.raises(PhotoError, match=r"'empty\.jpg' is empty"):
        load_photo(tmp_path / "empty.jpg")


def test_a_name_no_file_can_have_is_refused() -> None:
    with pytest.raises(PhotoError, match="cannot be opened"):
        load_photo("print\0.jpg")


@pytest.mark.parametrize("data", [b"hello", b"%PDF-1.7 ...", b"\0" * 500, b"GIF89a" + b"\0" * 99])
def test_what_is_no_photograph_is_refused(data: bytes) -> None:
    with pytest.raises(PhotoError, match="not a photograph that can be read"):
        load_photo(data)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP", "HEIC"])
@settings(deadline=None, derandomize=True, max_examples=25)
@given(share=st.floats(0.0, 0.97))
def test_a_truncated_file_is_refused(kind: str, share: float) -> None:
    whole = HEIC.read_bytes() if kind == "HEIC" else encoded(texture(160, 96), kind)
    with pytest.raises(PhotoError):
        load_photo(whole[: int(share * len(whole))])


@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize("reduction", [1, 2, 8])
def test_a_jpeg_that_lacks_its_last_bytes_is_refused(progressive: bool, reduction: int) -> None:
    whole = encoded(texture(320, 192), "JPEG", progressive=progressive)
    for lost in (2, 30, len(whole) // 3):
        with pytest.raises(PhotoError, match="damaged or cut short"):
            load_photo(whole[:-lost], reduction=reduction)


def test_a_jpeg_cut_short_and_closed_again_is_refused() -> None:
    whole = encoded(texture(320, 192), "JPEG")
    with pytest.raises(PhotoError, match="damaged or cut short"):
        load_photo(whole[: len(whole) // 2] + b"\xff\xd9")


def test_a_flat_grey_jpeg_is_not_taken_for_a_cut_one() -> None:
    photo = load_photo(encoded(np.full((64, 96, 3), 128, np.uint8), "JPEG"))
    assert (photo.rgb == 128).all()


def test_bytes_after_the_end_of_a_jpeg_are_accepted() -> None:
    assert_upright(load_photo(encoded(scene(), "JPEG") + b"ftypmp42 a film follows" * 40).rgb)


def test_a_jpeg_with_more_pictures_in_it_gives_its_first() -> None:
    stream = io.BytesIO()
    second = Image.fromarray(scene()[::-1].copy())
    Image.fromarray(scene()).save(stream, "MPO", save_all=True, append_images=[second])
    photo = load_photo(stream.getvalue(), reduction=2)
    assert photo.source_format == "JPEG"
    assert_upright(photo.rgb)


def huge_png() -> bytes:
    data = bytearray(encoded(scene(), "PNG"))
    data[16:24] = struct.pack(">II", 20_000, 10_001)
    crc = zlib.crc32(data[12:29])
    data[29:33] = struct.pack(">I", crc)
    return bytes(data)


def huge_jpeg() -> bytes:
    data = bytearray(encoded(scene(), "JPEG"))
    frame = data.index(b"\xff\xc0")
    data[frame + 5 : frame + 9] = struct.pack(">HH", 10_001, 20_000)
    return bytes(data)


@pytest.mark.parametrize("data", [huge_png(), huge_jpeg()], ids=["PNG", "JPEG"])
def test_over_200_megapixels_is_refused_before_decoding(data: bytes) -> None:
    with pytest.raises(PhotoError, match="20000 x 10001 = 200 megapixels; at most 200"):
        load_photo(data)


def test_a_large_photograph_raises_no_warning() -> None:
    # above the limit from which Pillow's own open warns
    grey = np.full((9_000, 10_000), 90, np.uint8)
    photo = load_photo(encoded(grey, "JPEG", quality=30), reduction=8)
    assert photo.full_size_px == (10_000, 9_000)
    assert photo.rgb.shape == (1_125, 1_250, 3)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP"])
@settings(deadline=None, derandomize=True, max_examples=40)
@given(data=st.data())
def test_damaged_bytes_give_a_photo_or_a_photo_error(kind: str, data: st.DataObject) -> None:
    damage_and_load(encoded(texture(96, 64), kind), data)


@settings(deadline=None, derandomize=True, max_examples=12)
@given(data=st.data())
def test_a_damaged_heic_takes_nothing_down_with_it(data: st.DataObject) -> None:
    # the HEIC library itself crashes on some of these, so each is decoded in its own process
    damage_and_load(HEIC.read_bytes(), data)


def damage_and_load(whole: bytes, data: st.DataObject) -> None:
    damaged = bytearray(whole)
    for place in data.draw(st.lists(st.integers(12, len(whole) - 1), min_size=1, max_size=8)):
        damaged[place] = data.draw(st.integers(0, 255))
    with contextlib.suppress(PhotoError):
        photo = load_photo(bytes(damaged))
        assert photo.rgb.shape == (photo.full_size_px[1], photo.full_size_px[0], 3)
