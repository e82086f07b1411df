"""A small organ from a few words, its stops known as the trade knows them."""

from __future__ import annotations

from fractions import Fraction

from core.markings.contract import instruction_from_json
from core.markings.model import Instruction
from core.organ.model import Coupler, Division, Family, Half, Organ, Role, Stop, Tremulant
from core.organ.names import know_stop
from core.organ.spelling import read_feet_exact
from core.resolve.keyboards import propose_keyboards
from core.resolve.model import Registration, Resolution
from core.resolve.resolver import resolve


def stop(division: str, text: str, *, pedal: bool) -> Stop:
    """``Oboe 8``, ``Principale soprani 8``, ``Mixture``; ``!`` before it: on the reeds' wind."""
    ventil, text = text.startswith("!"), text.removeprefix("!")
    words = text.split(" ")
    digits = next((i for i, w in enumerate(words) if w[0].isdigit()), len(words))
    name, feet = " ".join(words[:digits]), " ".join(words[digits:])
    half = {"bassi": Half.BASS, "soprani": Half.TREBLE}.get(words[digits - 1])
    pitch = read_feet_exact(feet) if feet else None
    found = know_stop(name.removesuffix(" bassi").removesuffix(" soprani"), pedal=pedal, pitch=pitch)
    return Stop(
        id=f"{division}/{text.casefold().replace(' ', '')}",
        name=name.removesuffix(" bassi").removesuffix(" soprani"),
        pitch=pitch,
        family=found.family if found else Family.PRINCIPAL,
        kind=found.kind.id if found else None,
        loudness=found.loudness if found else 5,
        half=half,
        on_ventil=True if ventil else None,
    )


def organ(divisions: dict[str, str], couplers: str = "", tremulants: str = "", tradition: str | None = None) -> Organ:
    """``organ({"great": "Open Diapason 8, Principal 4"}, "swell>great, great>pedal@4")``."""
    made = []
    for number, (role, stops) in enumerate(divisions.items(), start=1):
        pedal = role == Role.PEDAL
        made.append(
            Division(
                id=role,
                name=role.title(),
                role=Role(role),
                keyboard="pedal" if pedal else f"manual-{number}",
                enclosed=role == Role.SWELL,
                stops=tuple(stop(role, text.strip(), pedal=pedal) for text in stops.split(",") if text.strip()),
            )
        )
    joined = []
    for text in (t.strip() for t in couplers.split(",") if t.strip()):
        path, _, pitch = text.partition("@")
        source, target = path.split(">")
        joined.append(Coupler(source=source, target=target, pitch=Fraction(pitch or 8)))
    trems = tuple(
        Tremulant(division=None if t.strip() == "all" else t.strip()) for t in tremulants.split(",") if t.strip()
    )
    return Organ(name="Small", divisions=tuple(made), couplers=tuple(joined), tremulants=trems, tradition=tradition)


def ask(
    action: str,
    division: str | None = None,
    *stops: str,
    hand: str | None = None,
    **more: object,
) -> Instruction:
    """``ask("draw", "swell", "Oboe", "reed:8 loud")``: a name, or ``family:pitches qualities``."""
    return instruction_from_json(
        {
            "action": action,
            "division": division,
            "hand": hand,
            "stops": [request(text) for text in stops],
            "except": [request(str(t)) for t in more.pop("without", ())],  # type: ignore[attr-defined]
            "up_to": more.pop("up_to", False),
            "optional": more.pop("optional", False),
            "or": [],
            **more,
        }
    )


def request(text: str) -> dict[str, object]:
    """One stop request: ``Oboe 8``, ``Flute``, ``reed:8 loud``, ``:8+4 soft`` (pitches alone)."""
    if ":" not in text:
        words = text.split(" ")
        after = [i for i, w in enumerate(words) if w[0].isdigit() and words[i - 1] != "No."]
        digits = after[0] if after else len(words)
        feet = " ".join(words[digits:])
        return {"name": " ".join(words[:digits]), "family": None, "pitches": [feet] if feet else [],
                "qualities": [], "half": None}  # fmt: skip
    family, _, rest = text.partition(":")
    pitches, _, qualities = rest.partition("|")
    return {
        "name": None,
        "family": family or None,
        "pitches": [p for p in pitches.split("+") if p],
        "qualities": qualities.split(),
        "half": None,
    }


def play(
    here: Organ,
    *instructions: Instruction,
    drawn: tuple[str, ...] = (),
    before: Registration | None = None,
    text: str = "",
    language: str | None = "en",
    **more: object,
) -> Resolution:
    """Resolve instructions on an organ, the keyboards proposed from them."""
    asked = {i.division for i in instructions if i.division}
    asked |= {e for i in instructions if i.coupler for e in (i.coupler.source, i.coupler.target) if e}
    return resolve(
        instructions,
        here,
        before or Registration(drawn=drawn),
        keyboards=propose_keyboards(sorted(asked), here, language=language),
        language=language,
        text=text,
        **more,  # type: ignore[arg-type]
    )


def names(here: Organ, done: Resolution) -> list[str]:
    """What is on after it, as the stops are printed."""
    return [
        here.stop(i).name + (f" {here.stop(i).pitch}" if here.stop(i).pitch else "") for i in done.registration.drawn
    ]
