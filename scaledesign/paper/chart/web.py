"""The chart as a web page in one file: it shows each note, plays it, and asks the network for nothing.

Apart from the printed page because it is read on a telephone and heard. Everything is inside: style, script,
drawings, the maker's picture. The page forbids itself everything else (Content-Security-Policy, W3C): only
the script and the style that are ours, known by their hash, are let in, so that a flute's name can never act.
The script is the same for every flute; what it has to know stands in attributes.

Templates are ``web_page/page.html``, ``page.css`` and ``page.js``. The same chart gives the same bytes.
"""

from __future__ import annotations

import base64
import hashlib
import unicodedata
from collections.abc import Iterable
from functools import cache
from html import escape
from pathlib import Path
from string import Template

from scaledesign.model.pitch import Note, note_frequency
from scaledesign.model.units import format_number
from scaledesign.paper.chart.content import Chart, ChartNote, ChartTrill, Way, chosen
from scaledesign.paper.chart.setting import TITLES, blown_words, cents, partly_words, title_of
from scaledesign.paper.chart.web_fingers import (
    Plan,
    fingering,
    key_behind,
    key_breath,
    key_hole,
    key_moving,
    plan_of,
    symbol,
    trill_fingering,
)
from scaledesign.paper.chart.web_flute import whole_flute
from scaledesign.paper.chart.web_staff import Staves, frames
from scaledesign.paper.chart.web_words import flute_words, label, trill_label
from scaledesign.paper.chart_text import HELP, NO_NOTES, breath_words, help_sign, left_out_words
from scaledesign.paper.choices import PaperChoices
from scaledesign.paper.engraving import Frame
from scaledesign.paper.note_names import OF_TONIC, note_name
from scaledesign.paper.own_picture import PictureKind, kind_of
from scaledesign.paper.text import on_one_line

TEMPLATES = Path(__file__).parent / "web_page"
MEDIA: dict[PictureKind, str] = {"png": "image/png", "jpeg": "image/jpeg", "svg": "image/svg+xml"}
"""Media types (IANA)."""
PLAY_SCALE = (
    '<button type="button" id="scale" aria-pressed="false" aria-label="Play the scale, up and down">'
    '<svg viewBox="0 0 10 10" aria-hidden="true"><path d="M1 0L10 5L1 10Z"/></svg>Scale</button>'
)


def web_page(chart: Chart, choices: PaperChoices) -> bytes:
    """The page, UTF-8.

    Parameters
    ----------
    chart : Chart
    choices : PaperChoices
        of which names, large, registers, alternates, trills, maker and picture count

    Raises
    ------
    EditError
        when nobody knows the language of the names, or the picture is neither PNG, JPEG nor SVG.
    """
    return _Page(chosen(chart, choices), choices).made().encode("utf-8", "replace")


class _Page:
    """One page in the making."""

    def __init__(self, chart: Chart, choices: PaperChoices) -> None:
        self.chart, self.choices = chart, choices
        self.plan: Plan = plan_of(chart.holes, chart.length)
        self.registers = sorted({note.register for note in chart.notes})
        groups = [[note.note for note in chart.of_register(register)] for register in self.registers]
        *self.frames, self.trill_frame = frames(
            [*groups, [note for trill in chart.trills for note in (trill.low, trill.high)]]
        )
        self.staves = Staves()
        self.any_off = any(map(cents, chart.notes))
        self.breath = {way.register for note in chart.notes for way in note.ways}
        self.breath |= {trill.register for trill in chart.trills}

    def made(self) -> str:
        chart, choices = self.chart, self.choices
        css, script = _read("page.css"), _read("page.js")
        name = on_one_line(chart.name) or title_of(chart, choices.names)
        sections = "\n".join([*self._registers(), *self._trills()]) or f"<p>{NO_NOTES}</p>"
        return Template(_read("page.html")).substitute(
            size="large" if choices.large else "usual",
            policy=_policy(css, script),
            title=escape(f"{name}: fingering chart"),
            css=css,
            script=script,
            name=escape(name),
            about=self._about(),
            picture=_picture(choices),
            listen=self._listen(),
            flute=whole_flute(chart, escape(flute_words(chart.holes))),
            keys="\n".join(f"<li>{key}</li>" for key in self._keys()),
            sections=sections,
            foot="\n".join(f"<p>{line}</p>" for line in self._foot()),
            shared=symbol(chart, self.plan) + self.staves.shared,
        )

    def _about(self) -> str:
        """The key, unless the title has it, in letters (it is do or 1 by itself), and the scale."""
        language = "english" if self.choices.names in OF_TONIC else self.choices.names
        key = _name(self.chart.tonic, language, None)
        scale = on_one_line(self.chart.scale)
        words = [f"in {key}"] if on_one_line(self.chart.name) else []
        return ", ".join([*words, f"<bdi>{escape(scale)}</bdi>"] if scale else words)

    def _listen(self) -> str:
        buttons = []
        if any(note.role == "scale" for note in self.chart.notes):
            buttons.append(PLAY_SCALE)
        tonic = self.chart.tonic
        name = _name(tonic, self.choices.names, tonic)
        hertz = _hertz(self._frequency(tonic))
        buttons.append(
            f'<button type="button" id="drone" data-hz="{hertz}" aria-pressed="false">'
            f"<span>Drone {name}</span></button>"
        )
        return "\n".join(buttons) + "\n"

    def _keys(self) -> list[str]:
        """What the marks mean: those only that are used."""
        chart = self.chart
        ways = [way for note in chart.notes for way in note.ways]
        keys = [f"{key_hole('X')} closed", f"{key_hole('O')} open"]
        shares = [way.open_share for way in ways if "H" in way.states]
        if shares:
            keys.append(f"{key_hole('H')} {partly_words(shares)}")
        if any(hole.behind for hole in chart.holes):
            keys.append(f"{key_behind()} at the back")
        keys += [f"{key_breath(r)} {breath_words(r)}" for r in (2, 3) if r in self.breath]
        if self.any_off:
            example = next(filter(None, map(cents, chart.notes)))
            keys.append(f'<small class="off">{example}</small> cents from the note on a tuner')
        helped = {help_sign(way.off) for way in ways}
        keys += [f'<span class="help">{sign}</span> {HELP[sign]}' for sign in HELP if sign in helped]
        if chart.trills:
            keys.append(f"{key_moving()} moves")
        if any(_same(note.note, chart.tonic) for note in chart.notes):
            keys.append('<span class="tonic"><span class="name">A</span></span> first note of the scale')
        if any(note.role != "scale" for note in chart.notes):
            keys.append('<span class="chromatic"><span class="name">A</span></span> between its notes')
        return keys

    def _registers(self) -> list[str]:
        made = []
        for register, frame in zip(self.registers, self.frames, strict=True):
            title = "Notes"
            if len(self.registers) > 1:
                title = f"{TITLES[min(register, len(TITLES)) - 1]} <small>{breath_words(register)}</small>"
            cards = (self._card(note, frame) for note in self.chart.of_register(register))
            made.append(_section(f"register-{register}", title, cards))
        return made

    def _card(self, note: ChartNote, frame: Frame) -> str:
        name = self._said(note.note)
        words = label(note, note.ways, name, self.chart, breath=self.breath != {1})
        kinds = "chromatic" if note.role != "scale" else "scale"
        if _same(note.note, self.chart.tonic):
            kinds += " tonic"
        off = f'<small class="off">{cents(note) or "&nbsp;"}</small>' if self.any_off else ""
        first, *others = note.ways
        named = _name(note.note, self.choices.names, self.chart.tonic) + _help(first)
        ways = fingering(first, self.plan) + "".join(
            self._other(way, blown_words(way, first)) for way in others
        )
        key = _key(note.note, self.choices.names, self.chart.tonic)
        return (
            f'<li{_span(len(note.ways))}><button type="button" class="card note {kinds}" '
            f'data-hz="{_hertz(note.frequency)}" data-key="{key}" '
            f'data-role="{note.role}" aria-pressed="false" aria-label="{escape(words)}">'
            f"{self.staves.piece([note.note], frame)}"
            f'<span class="name">{named}</span>{off}'
            f'<span class="ways">{ways}</span></button></li>'
        )

    def _other(self, way: Way, blown: str) -> str:
        """Another way, after "or"; under it where it says how it is blown, which takes room."""
        said = f'<span class="or">or{f", {blown}" if blown else ""}{_help(way)}</span>'
        drawn = fingering(way, self.plan)
        return f'<span class="other">{said}{drawn}</span>' if blown else said + drawn

    def _trills(self) -> list[str]:
        if not self.chart.trills:
            return []
        return [_section("trills", "Trills", (self._trill(trill) for trill in self.chart.trills))]

    def _trill(self, trill: ChartTrill) -> str:
        names = (self._said(trill.low), self._said(trill.high))
        words = trill_label(trill, self.chart.holes, names)
        shown = [_name(note, self.choices.names, self.chart.tonic) for note in (trill.low, trill.high)]
        low, high = (_hertz(self._frequency(note)) for note in (trill.low, trill.high))
        return (
            f'<li class="two"><button type="button" class="card pair" data-hz="{low}" data-high="{high}" '
            f'aria-pressed="false" aria-label="{escape(words)}">'
            f"{self.staves.piece([trill.low, trill.high], self.trill_frame)}"
            f'<span class="name">{shown[0]} – {shown[1]}</span>'
            f'<span class="ways">{trill_fingering(trill, self.chart.holes, self.plan)}</span></button></li>'
        )

    def _frequency(self, note: Note) -> float:
        own = [one.frequency for one in self.chart.notes if one.note == note]
        return own[0] if own else note_frequency(note, self.chart.reference)

    def _said(self, note: Note) -> str:
        """The name as plain text, '' where it is the English one, which the words have anyway."""
        if self.choices.names == "english":
            return note.name
        return note_name(note, self.choices.names, self.chart.tonic, octave=True)

    def _foot(self) -> list[str]:
        chart = self.chart
        lines: list[str] = []
        lost, own = ([on_one_line(note) for note in notes] for notes in (chart.left_out, chart.not_so))
        lines += map(escape, left_out_words(lost, own))
        lines.append(f"Tuned to A = {format_number(round(chart.reference, 1))}.")
        maker = on_one_line(self.choices.maker)
        if maker:
            lines.append(f"Made by <bdi>{escape(maker)}</bdi>.")
        return lines


def _section(key: str, title: str, cards: Iterable[str]) -> str:
    listed = "\n".join(cards)
    return (
        f'<section aria-labelledby="{key}">\n<h2 id="{key}">{title}</h2>\n'
        f'<ol class="notes" role="list">\n{listed}\n</ol>\n</section>'
    )


def _help(way: Way) -> str:
    """The sign that a note is to be helped with the breath; its card says it in words."""
    sign = help_sign(way.off)
    return f'<span class="help" aria-hidden="true">{sign}</span>' if sign else ""


def _span(ways: int) -> str:
    return ("", ' class="two"', ' class="two three"')[min(ways, 3) - 1]


def _name(note: Note, language: str, tonic: Note | None) -> str:
    """A name with its octave, small where it is a number by itself."""
    full = note_name(note, language, tonic, octave=True)
    bare = note_name(note, language, tonic)
    if language in OF_TONIC or not full.startswith(bare):
        return escape(full)
    return f"{escape(bare)}<sub>{escape(full[len(bare) :])}</sub>"


def _key(note: Note, language: str, tonic: Note) -> str:
    """The key that goes to a note: what its name begins with, a figure or a letter without its accent."""
    name = unicodedata.normalize("NFD", note_name(note, language, tonic))
    return next(sign for sign in name if sign.isascii() and sign.isalnum()).lower()


def _same(note: Note, tonic: Note) -> bool:
    return (note.letter, note.alter) == (tonic.letter, tonic.alter)


def _hertz(value: float) -> str:
    """To a thousandth of a cent and better."""
    return f"{value:.4f}"


def _picture(choices: PaperChoices) -> str:
    if not choices.picture:
        return ""
    data = base64.b64encode(choices.picture).decode()
    alt = escape(on_one_line(choices.maker) or "The maker's mark")
    return f'<img class="mark" alt="{alt}" src="data:{MEDIA[kind_of(choices.picture)]};base64,{data}">\n'


def _policy(css: str, script: str) -> str:
    """What the page may do: show its own pictures, use its own style and script, nothing else."""
    return (
        f"default-src 'none'; img-src data:; style-src '{_hash(css)}'; script-src '{_hash(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    """As CSP level 3 has it."""
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"


@cache
def _read(name: str) -> str:
    return (TEMPLATES / name).read_text(encoding="utf-8").strip()
