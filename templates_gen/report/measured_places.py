"""How places that are measured on the boat are called in messages."""


def spoken_place(name: str) -> str:
    """Return how a place of measuring is called: "mould 2", "the fore end", "half-way 2-3"."""
    if name in ("fore", "aft"):
        return "the fore end" if name == "fore" else "the after end"
    return name if name.startswith("half-way") else f"mould {name}"
