"""What a computed photograph shows: one frozen record a part, every length in millimetres."""

from dataclasses import dataclass, field, replace
from typing import Any, Literal

MarksKind = Literal["points", "network", "none"]
FaceKind = Literal["rectangle", "disc", "rails"]


@dataclass(frozen=True, kw_only=True)
class FaceShape:
    """The face: its bounding rectangle, what is cut out of it, and what it lies on.

    Attributes
    ----------
    size_mm : bounding rectangle (width, height); a disc takes the smaller of the two as diameter.
    kind : "rectangle", "disc" or "rails" (two strips along the longer side, a recess between).
    border_mm : metal beyond the face on every side; 0 cuts marks at the face's edge.
    slots : boxes (x0, y0, x1, y1) cut out, as fractions of the size.
    holes : circles (x, y as fractions of the size, radius in mm) cut out.
    rail_share : width of one rail as a fraction of the bounding width.
    background : "wood", "bench", "cloth", "dark" or "clutter".
    """

    size_mm: tuple[float, float] = (150.0, 100.0)
    kind: FaceKind = "rectangle"
    border_mm: float = 4.0
    slots: tuple[tuple[float, float, float, float], ...] = ()
    holes: tuple[tuple[float, float, float], ...] = ()
    rail_share: float = 0.28
    background: str = "wood"


@dataclass(frozen=True, kw_only=True)
class Marks:
    """Where the face bears.

    Attributes
    ----------
    kind : "points" (each known by itself), "network" (merged patches) or "none".
    points_per_square_inch : density aimed at; the truth table holds what was placed.
    cover_percent : share of the face in contact aimed at.
    size_spread : standard deviation of the logarithm of the points' diameter.
    smallest_mm : no point is narrower than this disc's diameter.
    aspect : largest ratio of length to width.
    roughness : relative amplitude of the outline's waves; 0 gives ellipses.
    hollow_share, touching_share : shares of the points.
    gap_mm : least gap between points that are not meant to touch.
    network_mm : typical width of a patch in a network.
    """

    kind: MarksKind = "points"
    points_per_square_inch: float = 15.0
    cover_percent: float = 26.0
    size_spread: float = 0.25
    smallest_mm: float = 1.3
    aspect: float = 1.7
    roughness: float = 0.06
    hollow_share: float = 0.07
    touching_share: float = 0.0
    gap_mm: float = 0.45
    network_mm: float = 3.0


@dataclass(frozen=True, kw_only=True)
class FilmLayer:
    """The marking on the metal; thickness 1 is a normal film.

    Attributes
    ----------
    marking : a name in `coating.MARKINGS`.
    thickness : of a typical point; 0.2 is faint, 1.6 heavy.
    between_points : relative spread of thickness from point to point.
    within_point : relative spread of thickness inside a point.
    rim : how much thicker the rim is than the middle (relative).
    edge_mm : width over which the film falls off at the edge of a point.
    hollow_rest : thickness left in a rubbed middle (relative).
    haze : thickness of film between the points; haze_patch_mm : its patches' size.
    smear : thickness dragged out of the points; smear_mm, smear_deg : how far and where to.
    undercoat : "" or a name in `coating.UNDERCOATS`; undercoat_thickness : 1 = normal;
        undercoat_bare : share left bare.
    rubbed : True for a coated face whose contact was rubbed bright.
    """

    marking: str = "blue"
    thickness: float = 1.0
    between_points: float = 0.18
    within_point: float = 0.15
    rim: float = 0.25
    edge_mm: float = 0.18
    hollow_rest: float = 0.12
    haze: float = 0.03
    haze_patch_mm: float = 25.0
    smear: float = 0.0
    smear_mm: float = 2.5
    smear_deg: float = 20.0
    undercoat: str = ""
    undercoat_thickness: float = 1.0
    undercoat_bare: float = 0.12
    rubbed: bool = False


@dataclass(frozen=True, kw_only=True)
class Metal:
    """The bare metal.

    Attributes
    ----------
    reflectance : linear reflectance per channel (R, G, B).
    grain : relative contrast of the fine grain; grain_mm : its size.
    strokes : relative contrast of scraper strokes; 0 is a ground or milled face.
    stroke_mm : (length, width) of a stroke; stroke_cover : mean layers of strokes.
    flash_share : share of the strokes that flash bright.
    lay : relative contrast of parallel machining lines.
    stain : relative contrast of slow stains; rust : share of brown tint in them.
    pores_per_cm2, scratches : counts; stained_pores : share of pores that hold old marking.
    """

    reflectance: tuple[float, float, float] = (0.36, 0.355, 0.35)
    grain: float = 0.08
    grain_mm: float = 0.18
    strokes: float = 0.12
    stroke_mm: tuple[float, float] = (9.0, 2.6)
    stroke_cover: float = 0.35
    flash_share: float = 0.12
    lay: float = 0.0
    stain: float = 0.06
    rust: float = 0.0
    pores_per_cm2: float = 0.15
    stained_pores: float = 0.0
    scratches: int = 3


@dataclass(frozen=True, kw_only=True)
class Lighting:
    """The light.

    Attributes
    ----------
    colour : gain per channel (R, G, B) of the main light.
    gradient : brightness at the bright side over the dark side; gradient_deg : towards it.
    uneven : relative contrast of slow unevenness.
    side_colour : gain per channel of light from one side, mixed in up to `side_share` there.
    shadow : darkness of hard-edged shadows (0 none, 1 black); shadow_edge_mm : penumbra.
    glare : strength of broad washed-out patches (linear light added at their middle).
    glare_patches : how many; glare_strokes : strength of stroke-shaped flashes.
    """

    colour: tuple[float, float, float] = (1.0, 1.0, 1.0)
    gradient: float = 1.25
    gradient_deg: float = 35.0
    uneven: float = 0.05
    side_colour: tuple[float, float, float] = (1.0, 1.0, 1.0)
    side_share: float = 0.0
    side_deg: float = 180.0
    shadow: float = 0.0
    shadow_edge_mm: float = 1.0
    glare: float = 0.0
    glare_patches: int = 2
    glare_strokes: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Camera:
    """The camera and what a phone does to the picture.

    Attributes
    ----------
    px_per_mm : mean scale on the face.
    tilt_deg : between the optical axis and the face's normal; tilt_towards_deg : which way.
    roll_deg : turn in the picture plane.
    distance : from lens to face, in diagonals of the face; small is strong perspective.
    margin : background round the face, as a share of the face's size in the photo.
    exposure_ev : 0 puts metal at reflectance 0.36 near sRGB 165.
    blur_px : standard deviation of optical blur; motion_px, motion_deg : length and direction.
    noise : 1 is a phone in good light; denoise_px : blur of colour noise.
    contrast : strength of the tone curve; saturation, sharpening : as a phone adds them.
    jpeg_quality : 1 to 100, chroma subsampled 4:2:0.
    taken_at : EXIF local time "YYYY:MM:DD HH:MM:SS", "" for none.
    """

    px_per_mm: float = 8.0
    tilt_deg: float = 8.0
    tilt_towards_deg: float = 250.0
    roll_deg: float = 2.0
    distance: float = 1.6
    margin: float = 0.06
    exposure_ev: float = 0.0
    blur_px: float = 0.8
    motion_px: float = 0.0
    motion_deg: float = 20.0
    noise: float = 1.0
    denoise_px: float = 1.0
    contrast: float = 0.25
    saturation: float = 1.15
    sharpening: float = 0.5
    jpeg_quality: int = 88
    taken_at: str = ""


@dataclass(frozen=True, kw_only=True)
class PrintScene:
    """One photograph of one print; `seed` fixes everything that is random."""

    name: str = "plain"
    seed: int = 0
    shape: FaceShape = field(default_factory=FaceShape)
    marks: Marks = field(default_factory=Marks)
    film: FilmLayer = field(default_factory=FilmLayer)
    metal: Metal = field(default_factory=Metal)
    light: Lighting = field(default_factory=Lighting)
    camera: Camera = field(default_factory=Camera)

    def with_(self, **parts: dict[str, Any]) -> "PrintScene":
        """Return a copy with fields of its parts replaced: `scene.with_(film={"haze": 0.3})`."""
        changed = {part: replace(getattr(self, part), **values) for part, values in parts.items()}
        return replace(self, **changed)
