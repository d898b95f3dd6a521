"""A study of a gauge, in words."""

from __future__ import annotations

from collections.abc import Iterator

from ringtrue.measure.study import LEVEL, POOLED_ABOVE, POWER, WANTED, Component, StudyFound

Head = tuple[str, ...]


def share_text(value: float, decimals: int = 2) -> str:
    """
    Write a share of the reading.

    Parameters
    ----------
    value : float
        [-]
    decimals : int
        Digits after the point.

    Returns
    -------
    str
        In per cent.
    """
    return f"{100 * value:.{decimals}f} %"


def study_sentences(found: StudyFound) -> tuple[str, ...]:
    """
    Say what a study shows.

    Parameters
    ----------
    found : StudyFound
        Of logarithms: standard deviations are shares of the reading.

    Returns
    -------
    tuple of str
        Sentences, the most useful first.
    """
    return tuple(_study(found))


def _study(found: StudyFound) -> Iterator[str]:
    own = found.repeatability
    yield (
        f"One pull repeats to {share_text(found.one_pull)} of the reading (standard deviation; of the repeats alone "
        f"{share_text(own.sd)}, 90 % interval {share_text(own.low)} to {share_text(own.high)})."
        if found.interaction
        else f"One pull repeats to {share_text(own.sd)} of the reading (standard deviation; 90 % interval "
        f"{share_text(own.low)} to {share_text(own.high)})."
    )
    if found.between_people is not None:
        yield _people(found.between_people)
    if found.pooled is True:
        yield (
            f"Nobody reads some cylinders otherwise than others beyond chance (F {found.rows[2].ratio:.2f}, chance "
            f"{found.rows[2].chance:.2f}, above {POOLED_ABOVE}), so that is counted as scatter of the repeats."
        )
    elif found.interaction is not None:
        yield (
            f"People read some cylinders otherwise than others: {share_text(found.interaction.sd)} (F "
            f"{found.rows[2].ratio:.2f}, chance {found.rows[2].chance:.2g}). One person should pull a whole engine; "
            "repeats do not make that smaller."
        )
    if found.between_cylinders.below_zero:
        yield ("The cylinders differ by no more than the measurement: their own spread came out below zero, told as 0.")
    yield (
        f"Of the spread of single readings, {share_text(found.share, 1)} is measurement as variance (90 % interval "
        f"{share_text(found.share_low, 1)} to {share_text(found.share_high, 1)}); the rest is the cylinders' own, "
        f"{share_text(found.between_cylinders.sd)}."
    )
    yield from _repeats(found)


def _people(person: Component) -> str:
    if person.below_zero:
        return "Between people: 0 (its variance came out below zero, so nothing is seen of it)."
    return (
        f"Between people: {share_text(person.sd)} (90 % interval {share_text(person.low)} to "
        f"{share_text(person.high)}), on all cylinders alike, so that one person's series is not touched."
    )


def _repeats(found: StudyFound) -> Iterator[str]:
    needed, wanted = found.repeats_for(), share_text(WANTED, 0)
    sure = f"in {round(10 * POWER)} of 10 cases, {100 * LEVEL:.0f} % one-sided, the scatter taken as known"
    if needed is None:
        yield f"No number of pulls that anybody would make shows {wanted} between a cylinder and its siblings ({sure})."
    else:
        pulls = "One pull of each cylinder shows" if needed == 1 else f"{needed} pulls of each cylinder show"
        yield f"{pulls} {wanted} between one cylinder and the mean of its siblings ({sure})."
    told = ", ".join(f"{share_text(found.smallest(m), 1)} with {m}" for m in (1, 2, 3, 5))
    yield f"The smallest difference that is seen, by pulls of each cylinder: {told}."


def component_rows(found: StudyFound) -> tuple[Head, list[Head]]:
    """
    Tell what each cause adds.

    Parameters
    ----------
    found : StudyFound
        The study.

    Returns
    -------
    tuple of (tuple of str, list of tuple of str)
        The head, and a row a cause.
    """
    causes = (
        ("repeats (same person, same cylinder)", found.repeatability),
        ("between people", found.between_people),
        ("people by cylinder", found.interaction),
        ("measurement, all together", found.measurement if found.people > 1 else None),
        ("between cylinders", found.between_cylinders),
    )
    rows: list[Head] = [
        (
            name,
            share_text(each.sd) + (" (below zero)" if each.below_zero else ""),
            f"{_bare(each.low)} to {share_text(each.high)}",
        )
        for name, each in causes
        if each is not None
    ]
    return ("what", "standard deviation, of the reading", "90 % interval"), rows


def _bare(value: float) -> str:
    return share_text(value).removesuffix(" %")


def variance_rows(found: StudyFound) -> tuple[Head, list[Head]]:
    """
    Tell the table of variance.

    Parameters
    ----------
    found : StudyFound
        The study.

    Returns
    -------
    tuple of (tuple of str, list of tuple of str)
        The head, and a row a source. Squares are those of the logarithms, in (per cent) squared.
    """
    rows: list[Head] = [
        (
            row.name,
            str(row.source.freedom),
            f"{1e4 * row.source.squares:.4g}",
            f"{1e4 * row.source.mean_square:.4g}",
            "" if row.ratio is None else f"{row.ratio:.3g}",
            "" if row.chance is None else f"{row.chance:.3g}",
        )
        for row in found.rows
    ]
    return ("source", "degrees of freedom", "sum of squares [%2]", "mean square [%2]", "F", "chance"), rows
