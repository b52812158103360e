"""Where a planar bundle adjustment starts: every photograph by itself, then along shared tiles."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scrapeview.plane.joined import graph
from scrapeview.plane.joined.bundle_problem import Problem, Unknowns
from scrapeview.plane.joined.bundle_start import OwnFrame, own_frame, own_k1
from scrapeview.plane.joined.sightings import Sightings, to_pixels
from scrapeview.plane.joined.solved import Lens

Floats = NDArray[np.float64]
_LEAST_REACH_SIDES = 1.5
"""How far round its tiles a photograph's coordinates reach at least, in sides of a tile."""


def first_guess(
    sightings: Sightings, lens_of_photo: NDArray[np.intp], lens: bool
) -> tuple[Problem, Floats, set[int]]:
    """Return the problem, its packed unknowns to start from, and markers that lie twice.

    Raises
    ------
    PlaneError
        Where photographs do not hang together by shared tiles.
    """
    k1 = _first_k1(sightings, lens_of_photo) if lens else np.zeros(lens_of_photo.max() + 1)
    ideal = _undistorted(sightings, k1[lens_of_photo])
    frames = [own_frame(ideal, photo) for photo in range(sightings.photo_count)]
    links = graph.links_between(frames, sightings.sides_mm)
    graph.require_one_group(sightings.photo_count, links)
    places = graph.first_places(sightings.photo_count, links)
    twice = graph.lying_twice(frames, places, sightings.sides_mm)
    poses = graph.common_poses(frames, places, len(sightings.ids))
    problem = _problem(_without_bad(sightings, frames), frames, poses, lens_of_photo, lens)
    start = Unknowns(
        _homographies(problem, frames, places),
        poses,
        np.column_stack((k1, np.zeros_like(k1)))[: problem.lens_count],
    )
    return problem, start.packed(), {int(sightings.ids[tile]) for tile in twice}


def _first_k1(sightings: Sightings, lens_of_photo: NDArray[np.intp]) -> Floats:
    each = np.array([own_k1(sightings, photo) for photo in range(sightings.photo_count)])
    return np.array([np.median(each[lens_of_photo == i]) for i in range(lens_of_photo.max() + 1)])


def _undistorted(sightings: Sightings, k1: Floats) -> Sightings:
    corners = np.empty_like(sightings.corners_px)
    for photo, (width, height) in enumerate(sightings.photo_sizes_px.astype(int).tolist()):
        rows = sightings.photo == photo
        ideal = Lens(float(k1[photo])).undistorted(sightings.corners_px[rows], (width, height))
        corners[rows] = ideal.reshape(-1, 4, 2)
    return replace(sightings, corners_px=corners)


def _without_bad(sightings: Sightings, frames: list[OwnFrame]) -> Sightings:
    weight = sightings.weight.copy()
    for photo, frame in enumerate(frames):
        weight[sightings.photo == photo] *= frame.good
    return sightings.weighed(weight)


def _problem(
    sightings: Sightings,
    frames: list[OwnFrame],
    poses: Floats,
    lens_of_photo: NDArray[np.intp],
    lens: bool,
) -> Problem:
    middles = [poses[frame.tiles, :2] for frame in frames]
    reach = [
        max(float(np.ptp(m, axis=0).max()) / 2, _LEAST_REACH_SIDES * sightings.sides_mm.max())
        for m in middles
    ]
    return Problem(
        sightings,
        lens_of_photo,
        int(lens_of_photo.max()) + 1 if lens else 0,
        np.array([m.mean(axis=0) for m in middles]),
        np.array(reach),
    )


def _homographies(problem: Problem, frames: list[OwnFrame], places: list[Floats]) -> Floats:
    from_halves = to_pixels(problem.sightings)
    found = []
    for photo, (frame, place) in enumerate(zip(frames, places, strict=True)):
        backward = problem.reduce()[photo] @ place @ frame.to_mm @ from_halves[photo]
        forward = np.linalg.inv(backward)
        found.append(forward / forward[2, 2])
    return np.array(found)
