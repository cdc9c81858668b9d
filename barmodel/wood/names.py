"""Names that several species share."""

from __future__ import annotations

from barmodel.wood.species import Species, species, species_table


def others_called(name: str) -> tuple[Species, ...]:
    """Species other than the one found whose names hold that name as well.

    Parameters
    ----------
    name : str
        A name that finds a species of the table.

    Raises
    ------
    InputError
        If nothing is known by that name.

    Examples
    --------
    >>> [item.name for item in others_called("rosewood")]
    ['indian rosewood', 'bubinga']
    >>> others_called("honduran rosewood"), others_called("padauk")
    ((), ())
    """
    taken = species(name)
    key = _plain(name)
    if key == _plain(taken.name):
        return ()
    return tuple(item for item in species_table() if item is not taken and _is_called(item, key))


def _is_called(item: Species, key: str) -> bool:
    names = (item.name, *item.aliases)
    return any(f" {key} " in f" {_plain(words)} " for words in names)


def _plain(name: str) -> str:
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())
