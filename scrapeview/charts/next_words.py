"""The next pass in words: one plain sentence each, its number first and the reason second."""

from scrapeview.charts import shown
from scrapeview.charts.shown import Units, points_by, points_unit
from scrapeview.judge.next.next_pass import NextPass
from scrapeview.judge.next.stage import Stage
from scrapeview.result import Reading

SUGGESTED = "our suggestion, no source"
WHY = {
    "hollow": "hollow: rubbed bright, the hardest contact",
    "merged": "in a patch: break it up",
    "large": "large: it makes two",
    "crowded": "in a crowded place",
    "largest": "among the largest of the rest, where points are missing",
    "sparse": "leave: too little bears here",
    "hollow, sparse": "leave: bright, yet nearly alone; print again, turned, before you touch it",
    "enough": "leave: here the face bears what is asked",
    "ordinary": "nothing to be said",
    "done": "leave: the face is done",
    "no print": "leave: there is no print",
    "heavy film": "leave: print again with a thinner film",
}
"""What each code of "why" in the table of points to take says."""
CAUTION = {
    "": "",
    "edge": "at the edge: short strokes, and do not round the edge over",
    "glare": "beside glare: look at the metal before you take it",
    "faint": "thin film: rubbed hard or hardly touching, look before you take it",
}
_KINDS = (
    ("hollow", "{n} hollow"),
    ("merged", "{n} in patches"),
    ("large", "{n} large"),
    ("crowded", "{n} in crowded places"),
    ("largest", "{n} of the largest of the rest"),
)
_DO = {
    "rough": "go on rough and break the patches up",
    "spacing out": "go on spacing out and part the marks evenly",
    "finish": "go on to the finish, with short strokes on the large marks",
    "single points": "touch single points only",
}
_SHARES = {"spacing out": "half", "finish": "a third", "single points": "a tenth"}


def next_sentences(reading: Reading, advice: NextPass, units: Units) -> tuple[str, ...]:
    """Return all there is to say of the next pass, in the order it is needed.

    Parameters
    ----------
    reading : Reading
        That the advice is of.
    advice : NextPass
    units : {"metric", "inch"}
    """
    if advice.halt:
        return (halt_sentence(reading, advice),)
    found = [
        take_sentence(advice),
        share_sentence(advice),
        stage_sentence(advice, units),
        stroke_sentence(advice, units),
        *leave_sentences(advice, units),
        *caution_sentences(advice),
    ]
    return tuple(sentence for sentence in found if sentence)


def halt_sentence(reading: Reading, advice: NextPass) -> str:
    """Return why nothing is to be taken; "" where something is."""
    if advice.halt == "done":
        return "0 points to take: the face is done, so leave it alone."
    if advice.halt == "enough":
        return (
            "0 points to take: this print reaches all that is asked, so leave the face alone and "
            "print it once more to make sure."
        )
    if advice.halt == "heavy film":
        haze = reading.heaviness.haze_percent
        return (
            f"0 points to take yet: {haze:.0f} % film between the points makes marks larger than "
            "the contact, so wipe thinner and print again."
        )
    if advice.halt == "no print":
        return "0 points to take: no print was found, so print again."
    return ""


def take_sentence(advice: NextPass) -> str:
    """Return how many points to take, and which."""
    why, total = advice.to_take["why"], len(advice.points)
    if not len(why) and advice.contact_short is not None:
        found, asked = advice.contact_short
        return (
            f"{found:.1f} % contact of {asked:.1f} % asked for, while 0 of {total} points stand "
            "out: take all of them lightly, with short strokes that cross, and print again (our "
            "suggestion, no source)."
        )
    if not len(why):
        return (
            f"0 of {total} points stand out: print again, with the part or the reference turned, "
            "before you scrape."
        )
    kinds = [words.format(n=int((why == k).sum())) for k, words in _KINDS if (why == k).any()]
    return f"{len(why)} of {total} points to take, in this order: {', '.join(kinds)}."


def share_sentence(advice: NextPass) -> str:
    """Return how many one pass takes at most, and what was put off."""
    later = int((advice.points["what"] == "later").sum())
    if not later or advice.stage is None:
        return ""
    waits = "1 more waits" if later == 1 else f"{later} more wait"
    return (
        f"{waits} for the pass after: {_SHARES[advice.stage.name]} of the points is taken at most, "
        f"on the whole and in any square inch, as those left carry the next print ({SUGGESTED})."
    )


def stage_sentence(advice: NextPass, units: Units) -> str:
    """Return which kind of scraping is suggested, with the figure it rests on."""
    if advice.stage is None:
        return ""
    return f"{_stage_figure(advice.stage, units)}, so {_DO[advice.stage.name]} ({SUGGESTED})."


def _stage_figure(stage: Stage, units: Units) -> str:
    if stage.why == "merged":
        return f"{stage.figure:.0f} % of the contact lies in patches"
    if stage.why == "uneven":
        return (
            f"{stage.figure:.0f} % is the spread of the points between the squares, "
            f"{stage.limit:.0f} % is allowed"
        )
    found = f"{points_by(stage.figure, units):.1f} points per {points_unit(units)}"
    if stage.limit != stage.limit:
        return f"{found}, and the target asks for no number"
    return f"{found} of {points_by(stage.limit, units):.1f} wanted"


def stroke_sentence(advice: NextPass, units: Units) -> str:
    """Return how wide and how far apart the strokes are suggested to be."""
    stroke = advice.stroke
    if stroke is None:
        return ""
    pitch, least, most = (
        shown.length(mm, units) for mm in (stroke.pitch_mm, stroke.narrowest_mm, stroke.widest_mm)
    )
    density = f"{points_by(stroke.ppsi, units):.1f} points per {points_unit(units)}"
    return (
        f"{pitch} from stroke to stroke leaves {density}, and {least} to {most} is their width: "
        "narrower does not part a mark, wider takes a whole point "
        "(our suggestion, from a square lattice)."
    )


def leave_sentences(advice: NextPass, units: Units) -> tuple[str, ...]:
    """Return which places to leave alone, and why."""
    found = []
    if len(advice.bare):
        largest = advice.bare.iloc[0]
        found.append(
            f"{_counted(len(advice.bare), 'bare place')} to leave, the largest "
            f"{shown.place(largest['x_mm'], largest['y_mm'], units)}: nothing touches there until "
            "what is around it comes down."
        )
    if len(advice.sparse):
        largest = advice.sparse.iloc[0]
        found.append(
            f"{_counted(len(advice.sparse), 'low place')} to leave, the largest "
            f"{shown.area(largest['area_mm2'], units)} round "
            f"{shown.place(largest['x_mm'], largest['y_mm'], units)}: less than half of the face's "
            "contact is there, so what bears must stay."
        )
    return tuple(found)


def caution_sentences(advice: NextPass) -> tuple[str, ...]:
    """Return what to look out for: of the points to take, then the usual cautions."""
    told = advice.to_take["caution"]
    found = [
        f"{int((told == code).sum())} of the points to take {words}."
        for code, words in (
            ("edge", "touch the edge: short strokes there, and do not round it over"),
            ("glare", "lie beside glare: look at the metal before you take them"),
            ("faint", "have a thin film, rubbed hard or hardly touching: look at them first"),
        )
        if (told == code).any()
    ]  # fmt: skip
    alone = int((advice.points["why"] == "hollow, sparse").sum())
    if alone:
        found.append(
            f"{_counted(alone, 'bright point')} nearly alone: turn the part or the reference and "
            "print again before you touch it."
        )
    return (*found, *USUAL_CAUTIONS)


USUAL_CAUTIONS = (
    "A sharp scraper, its handle sound and free of grease, and light pressure.",
    "Stone only raised burrs, then clean away the abrasive.",
    "Local rules, the maker's papers and licensed practice come first.",
)


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
