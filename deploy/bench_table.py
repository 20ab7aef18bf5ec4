"""How the bench prints a figure, and whether it is what is wanted."""


def tell(what: str, value: float, unit: str, most: float | None = None, least: float | None = None) -> None:
    """Print a figure beside what it should be."""
    wanted = ""
    if most is not None:
        wanted = f"  (under {most:.3g} {unit}: {_verdict(value < most)})"
    if least is not None:
        wanted = f"  (at least {least:.4g} {unit}: {_verdict(value >= least)})"
    print(f"{what:<74} {value:>9.4g} {unit}{wanted}", flush=True)


def _verdict(is_so: bool) -> str:
    return "yes" if is_so else "NO"
