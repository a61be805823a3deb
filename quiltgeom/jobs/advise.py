"""From a photo of a print and the swatches on hand to a recommendation, a proof page and a kit."""

import json
import multiprocessing
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar, cast

from quiltgeom.cutting.cutting_plan import CutPlan
from quiltgeom.documents.kit_folder import write_kit
from quiltgeom.documents.proof_data import ProofInput, Reason, Swatch
from quiltgeom.documents.proof_page import write_proof_page
from quiltgeom.documents.reading_picture import reading_picture
from quiltgeom.errors import QuiltFileError
from quiltgeom.fabric.photo.prepare import AS_TAKEN, Calibration
from quiltgeom.fabric.reading.as_fabric import fabric_from_reading
from quiltgeom.fabric.reading.read_file import read_swatch
from quiltgeom.fabric.reading.reading import Reading
from quiltgeom.files import picture_file, write_whole
from quiltgeom.jobs.arguments import checks_arguments
from quiltgeom.jobs.centred import RULE, centred, not_centred, with_centring, worth_centring
from quiltgeom.jobs.read_print import Swatch as Read
from quiltgeom.library.corrections import reading_path
from quiltgeom.library.patterns import is_own, keyed, load_patterns, named, pattern_path
from quiltgeom.library.toml_text import identity
from quiltgeom.matching.companions import Companion, Companions, Pair, companions_for
from quiltgeom.matching.facts import PrintFacts, print_facts
from quiltgeom.matching.rank import PatternFit, rank_patterns, with_verdicts
from quiltgeom.matching.verdicts import MARKS, OUTCOME_WORDS, Verdict
from quiltgeom.model.design import Design
from quiltgeom.model.fabric import Fabric
from quiltgeom.model.pattern import Pattern
from quiltgeom.model.quilt import Quilt
from quiltgeom.onhand.index import index_path, open_index
from quiltgeom.onhand.indexing import index_folder
from quiltgeom.onhand.pool import cores, worker_pool
from quiltgeom.onhand.scan import digest_of, survey
from quiltgeom.outputs.folder import output_folder
from quiltgeom.outputs.manifest import digest
from quiltgeom.proposal.proposal import Proposal, propose
from quiltgeom.render.answer import Answer, save_scene
from quiltgeom.render.scene import Scene
from quiltgeom.units import format_inches

PLANNED = 6
"""So many of the best patterns get a cutting plan and a place on the proof page."""

RANK_EFFORT = 1
"""Searches per fabric while patterns are compared; the kit's own plan gets the usual number."""

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True)
class Brief:
    """What an adviser is given.

    Attributes:
        photo: picture of the print.
        width: its real width, inches; None takes the file's density.
        calibration: what is known of the photo: corners, a card, a distance.
        corrections: the user's word about the print, as of
            :func:`~quiltgeom.fabric.reading.read_file.read_swatch`.
        swatches: folder with pictures of the cloths on hand; None: plain colours beside the print.
        swatch_width: real width of those pictures where nothing else says it, inches.
        size: wanted finished width and height, inches.
        level: what the maker can sew, one of :data:`~quiltgeom.piecing.difficulty.WORDS`.
        have: cloth of the print at hand: length along the selvage and width, inches.
        ground: ``"light"`` or ``"dark"`` background.
        pattern: a pattern that is wanted whatever the rules say, by key, path or itself: the
            adviser's word wins.
        paper: of the kit, ``"letter"`` or ``"a4"``.
        kit: whether to make the kit, too.
        seconds: time limit for planning the cutting of the kit; None: none.
        fussy: centre the motif in every main patch, where the print's repeat is known.
        seam: seam allowance, inches; None: 1/4.
        force: replace files in the output folder that are not ours or were changed.
    """

    photo: Path
    width: float | None = None
    corrections: Mapping[str, str | float] = field(default_factory=dict)
    swatches: Path | None = None
    swatch_width: float | None = None
    size: tuple[float, float] | None = None
    level: str | None = None
    have: tuple[float, float] | None = None
    ground: str = "light"
    pattern: str | Path | Pattern | None = None
    paper: str = "letter"
    kit: bool = True
    seconds: float | None = None
    fussy: bool = False
    force: bool = False
    seam: float | None = None
    calibration: Calibration = AS_TAKEN


@dataclass(frozen=True, repr=False)
class Advice(Answer):
    """What is recommended.

    Attributes:
        facts: the print, as the rules saw it.
        proposals: the best few, planned; the first is recommended (or was wanted).
        fits: all patterns in the same order, the planned ones with what is seen in them.
        companions: what was proposed from the swatches on hand, if there were any.
        files: all that was written.
        seconds: how long each phase took.
        unreadable: (file name, reason) of swatches that could not be used.
    """

    facts: PrintFacts
    proposals: tuple[Proposal, ...]
    fits: tuple[PatternFit, ...]
    companions: Companions | None
    files: tuple[Path, ...]
    seconds: Mapping[str, float]
    unreadable: tuple[tuple[str, str], ...] = ()

    @property
    def best(self) -> Proposal:
        """What is recommended."""
        return self.proposals[0]

    def scenes(self) -> list[Scene]:
        """What is recommended, in its cloth."""
        return [self.best.picture.scene]

    def lines(self) -> list[str]:
        """What is recommended, and why."""
        best = self.fits[0]
        out = [f"{self.design.title}: {OUTCOME_WORDS[best.outcome]}"]
        out += [f"  {role + ':':<12}{f.name}" for role, f in self.design.fabrics.items()]
        out += [f"  {MARKS[v.outcome]} {v.title}: {v.sentence}" for v in best.verdicts]
        reading = self.reading
        taken = reading.remarks if reading.corners_px else [f.words for f in reading.photo]
        out += [f"Note: {doubt}" for doubt in (*self.facts.unsure, *taken)]
        out += self.reading.question.lines() if self.reading.question else []
        return out + [f"Not used: {name}: {why}" for name, why in self.unreadable]

    @property
    def design(self) -> Design:
        """Its design."""
        return self.best.design

    @property
    def reading(self) -> Reading:
        """The print."""
        return self.best.readings[self.best.main]

    @property
    def plans(self) -> dict[str, CutPlan]:
        """Cutting plans by pattern key."""
        return {p.pattern.key: p.plan for p in self.proposals if p.plan}

    def to_json(self) -> dict[str, Any]:
        """Plain data; the same input gives the same data."""
        best, plans = self.best, self.plans
        seen = {"name": best.design.title, "reading": self.reading.to_json()}
        return {
            "print": seen | {"unsure": list(self.facts.unsure)},
            "recommended": best.pattern.key,
            "patterns": [_fit_row(f, plans.get(f.pattern.key)) for f in self.fits],
            "fabrics": {role: f.name for role, f in best.design.fabrics.items()},
            "fussy": list(best.design.fussy),
            "patches": best.patches(),
            "companions": _by_name(self.companions.to_json()) if self.companions else None,
            "greys": best.greys.to_json(),
            "unreadable": [{"file": name, "reason": why} for name, why in self.unreadable],
        }


def _by_name(data: Any) -> Any:
    """The same without the folders of this machine: files by their names."""
    if isinstance(data, dict):
        return {k: Path(v).name if k == "file" else _by_name(v) for k, v in data.items()}
    return [_by_name(v) for v in data] if isinstance(data, list) else data


def _fit_row(fit: PatternFit, plan: CutPlan | None) -> dict[str, Any]:
    buy = {f.role: f.buy if f.have is None else 0 for f in plan.fabrics} if plan else None
    return fit.to_json() | ({"buy_in": buy} if plan else {})


@dataclass
class _Clock:
    """Times the phases and tells how far it is."""

    progress: Progress | None
    total: int
    seconds: dict[str, float] = field(default_factory=dict)

    @contextmanager
    def phase(self, name: str) -> Iterator[None]:
        if self.progress:
            self.progress(name, len(self.seconds), self.total)
        start = time.perf_counter()
        yield
        self.seconds[name] = time.perf_counter() - start
        if self.progress:
            self.progress(name, len(self.seconds), self.total)


@checks_arguments(Brief)
def advise(
    print_: Any,
    folder: str | Path,
    width: float | None = None,
    *,
    patterns: Sequence[Pattern] | None = None,
    progress: Progress | None = None,
    **wishes: Any,
) -> Advice:
    """Read the print, rank patterns, choose companions, plan, and write proof page and kit.

    The folder then holds ``proof.html`` (for the owner of the print), ``kit/`` (for the maker),
    ``quilt.png``, ``reading.png`` and ``advice.json`` (every verdict, for programs).

    Args:
        print_: a photo (file, array or Pillow image), or what :func:`read` made of one; or all that
            the adviser is given.
        folder: made if need be; earlier advice there makes room, files of others are left alone.
        width: real width of the photo, inches.
        patterns: to choose from, each with a key of its own; None: all that come with the package.
        progress: called with (phase, phases done, phases in all).
        wishes: ``swatches``, ``size``, ``level``, ``have``, ... as of :class:`Brief`.

    Raises:
        QuiltError: the photo or the folder of swatches cannot be used, or nothing be written.
    """
    brief = print_ if isinstance(print_, Brief) else _brief(print_, width, wishes)
    with output_folder(
        folder,
        "advice",
        inputs=[brief.photo, *([path] if (path := pattern_path(brief.pattern)) else [])],
        made_of=input_digests(brief),
        options=wishes_data(brief, patterns),
        force=brief.force,
    ) as filling:
        advice = _advise(brief, filling.path, patterns, _Clock(progress, 7))
    return replace(advice, files=tuple(map(filling.final, advice.files)))


def _brief(photo: Any, width: float | None, wishes: Mapping[str, Any]) -> Brief:
    if isinstance(photo, Read):
        words: Any = {
            "corrections": dict(photo.reading.corrections),
            "calibration": photo.calibration,
        }
        return Brief(photo.photo, photo.width, **{**words, **wishes})
    known = isinstance(photo, str | Path)
    return Brief(Path(photo) if known else picture_file(photo), width, **wishes)


def wishes_data(brief: Brief, patterns: Sequence[Pattern] | None) -> dict[str, Any]:
    """What advice was asked for, as plain data without the folders of this machine."""
    left_out = ("photo", "swatches", "force")
    wanted = _known(brief, patterns)[1]
    plain = asdict(replace(brief, pattern=wanted and identity(wanted)))
    wishes: dict[str, Any] = {k: v for k, v in plain.items() if k not in left_out}
    return wishes | {"patterns": [identity(p) for p in patterns] if patterns is not None else None}


def _known(
    brief: Brief, patterns: Sequence[Pattern] | None
) -> tuple[dict[str, Pattern], Pattern | None]:
    """The patterns to choose from, by key, and the one that is wanted."""
    known = keyed(load_patterns() if patterns is None else patterns)
    if brief.pattern is None:
        return known, None
    if isinstance(brief.pattern, str) and not pattern_path(brief.pattern):
        return known, named(brief.pattern, known)
    wanted = load_patterns().get(brief.pattern)
    return known | {wanted.key: wanted}, wanted


def input_digests(brief: Brief, cloths: str | None = None) -> dict[str, str]:
    """Digests of all that advice is made of: the photo, what was said of it, the cloths on hand
    (``cloths``, if it is known already)."""
    print_ = sha256(digest(brief.photo).encode() + digest(reading_path(brief.photo)).encode())
    made_of = {"print": print_.hexdigest()}
    if brief.swatches is not None:
        made_of["cloths"] = cloths or shelf_digest(brief.swatches)
    return made_of


def shelf_digest(folder: Path) -> str:
    """One digest of all swatches of a folder and of what their owner says of them."""
    total, root = sha256(), folder.resolve()
    for seen in survey(root).files:
        own = seen.path.relative_to(root).as_posix(), seen.fault or digest(seen.path)
        row = (*own, sorted(seen.said.items()), seen.corrections)
        total.update(repr(row).encode("utf-8", "surrogateescape"))
    if index_path(folder).is_file():
        with open_index(folder) as index:
            total.update(repr(index.words()).encode())
    return total.hexdigest()


def _advise(
    brief: Brief, folder: Path, patterns: Sequence[Pattern] | None, clock: _Clock
) -> Advice:
    with clock.phase("read"):
        words: Any = {"corrections": brief.corrections, "calibration": brief.calibration}
        reading = read_swatch(brief.photo, brief.width, **words)
        facts = print_facts(reading)
        focus = fabric_from_reading(_title(brief.photo), brief.photo, reading, brief.calibration)
    with clock.phase("swatches"):
        companions, unreadable = _companions(brief, reading)
    with clock.phase("patterns"):
        known, wanted = _known(brief, patterns)
        fits = rank_patterns(known.values(), facts, brief.size, level=brief.level)
        fits.sort(key=lambda f: wanted is not None and f.pattern.key != wanted.key)
    with clock.phase("cloth"):
        cloths = _read_chosen(companions.pairs[0]) if companions else {}
        proposals = _proposals(fits[:PLANNED], brief, (focus, reading), cloths)
    with clock.phase("plan"):
        proposals[0] = _best(proposals[0], brief)
        seen = {p.pattern.key: p.verdicts for p in proposals}
        order = {p.pattern.key: k for k, p in enumerate(proposals)}
        fits = [with_verdicts(f, *seen.get(f.pattern.key, ())) for f in fits]
        fits.sort(key=lambda f: order.get(f.pattern.key, len(order)))
    advice = Advice(facts, tuple(proposals), tuple(fits), companions, (), clock.seconds, unreadable)
    with clock.phase("proof page"):
        files = [
            write_proof_page(_proof(advice, focus), folder / "proof.html"),
            save_scene(
                reading_picture(brief.photo, reading, brief.calibration), folder / "reading.png"
            ),
            save_scene(advice.best.picture.scene, folder / "quilt.png", px=1000),
        ]
    with clock.phase("kit"):
        if brief.kit:
            kit = replace(advice.best, notes=tuple(_notes(advice)))
            files += write_kit(kit, folder / "kit", paper=brief.paper).files
    text = json.dumps(advice.to_json(), indent=2, ensure_ascii=False) + "\n"
    files.append(write_whole(folder / "advice.json", text.encode("utf-8")))
    return replace(advice, files=tuple(files))


def _have(brief: Brief, main: str) -> dict[str, tuple[float, float]] | None:
    return {main: brief.have} if brief.have else None


def _best(quick: Proposal, brief: Brief) -> Proposal:
    """The recommendation, planned in full; centred on the motif where that was asked for."""
    have = _have(brief, quick.main)
    known: dict[str, Any] = {k: getattr(quick, k) for k in ("quilt", "readings", "given")}
    made = propose(quick.design, have=have, seconds=brief.seconds, **known)
    judged = any(v.rule == RULE for v in made.verdicts)
    if not judged or not (brief.fussy or worth_centring(made)):
        return made
    other = centred(made, have=have)
    if brief.fussy and other is not None:
        return other
    verdict = not_centred(made) if brief.fussy else with_centring(made, other)
    return replace(made, overriding=(verdict,))


def _title(photo: Path) -> str:
    words = photo.stem.replace("-", " ").replace("_", " ").strip()
    return words[:1].upper() + words[1:] or "The print"


def _name(chosen: Companion) -> str:
    """What its owner calls a cloth; else its file's name, as words."""
    return chosen.name if chosen.name != chosen.path.stem else _title(chosen.path)


def _companions(
    brief: Brief, reading: Reading
) -> tuple[Companions | None, tuple[tuple[str, str], ...]]:
    """Proposals from the folder of swatches; the print itself is not one of them."""
    if brief.swatches is None:
        return None, ()
    report = index_folder(brief.swatches, width=brief.swatch_width, quick=True)
    report.check_widths()
    try:
        own = digest_of(brief.photo.read_bytes())
    except OSError as e:
        raise QuiltFileError(f"picture {brief.photo}: cannot be read ({e.strerror})") from e
    with open_index(report.index) as index:
        found = companions_for(reading, index, ground=cast(Any, brief.ground), leave_out=[own])
    bad = tuple((path.name, reason) for path, reason in report.unreadable)
    return (found if found.pairs else None), bad


def _read_chosen(pair: Pair) -> dict[str, tuple[Fabric, Reading]]:
    """The chosen companions, now read in full: how they may lie is needed for cutting."""
    chosen = (pair.background, pair.accent)
    readings = _on_all_cores(_read_one, [(c.path, c.width) for c in chosen])
    return {
        role: (fabric_from_reading(_name(c), c.path, reading), reading)
        for role, c, reading in zip(("background", "accent"), chosen, readings, strict=True)
    }


def _read_one(job: tuple[Path, float]) -> Reading:
    return read_swatch(*job)


def _proposals(
    fits: Sequence[PatternFit],
    brief: Brief,
    print_: tuple[Fabric, Reading],
    cloths: Mapping[str, tuple[Fabric, Reading]],
) -> list[Proposal]:
    """The best few, planned quickly and put in order again by what is then seen."""
    jobs: list[_Job] = []
    for fit in fits:
        main = fit.quilt.main_role
        cloth_by_role = {main: print_, **{r: c for r, c in cloths.items() if r in fit.quilt.roles}}
        design = _design(fit, brief, print_[0], {r: f for r, (f, _) in cloth_by_role.items()})
        quilt = replace(fit.quilt, name=design.title)
        readings = {r: c for r, (_, c) in cloth_by_role.items()}
        jobs.append((design, quilt, readings, fit.verdicts, _have(brief, main)))
    made = list(_on_all_cores(_quick_proposal, jobs))
    if brief.pattern is not None:
        return made
    return sorted(made, key=lambda p: (p.fails, -round(p.score, 9), p.pattern.key))


J = TypeVar("J")
R = TypeVar("R")
_Have = dict[str, tuple[float, float]] | None
_Job = tuple[Design, Quilt, Mapping[str, Reading], tuple[Verdict, ...], _Have]


def _on_all_cores(work: Callable[[J], R], jobs: Sequence[J]) -> list[R]:
    """What ``work`` makes of each job; one after the other where this is a worker itself."""
    count = 1 if multiprocessing.parent_process() else min(cores(), len(jobs))
    if count <= 1:
        return [work(job) for job in jobs]
    with worker_pool(count) as pool:
        return list(pool.map(work, jobs))


def _quick_proposal(job: _Job) -> Proposal:
    design, quilt, readings, given, have = job
    known: dict[str, Any] = {"quilt": quilt, "readings": readings, "given": given}
    made = propose(design, have=have, effort=RANK_EFFORT, **known)
    _ = made.verdicts  # judged here, where there are cores to do it
    return made


def _design(fit: PatternFit, brief: Brief, focus: Fabric, fabrics: Mapping[str, Fabric]) -> Design:
    given, quilt = fit.chosen.get("borders"), fit.quilt
    borders = None if given is None else tuple(given)
    pattern = fit.pattern if is_own(fit.pattern) else fit.pattern.key
    title = f"{focus.name} in {fit.pattern.name}"
    size = (quilt.block_size, quilt.rows, quilt.columns)
    return Design(pattern, dict(fabrics), title, *size, borders=borders, seam=brief.seam)


def _reason(v: Verdict) -> Reason:
    return (v.title, v.outcome, v.sentence)


def _proof(advice: Advice, focus: Fabric) -> ProofInput:
    """The page's input: the first pair is worn, the others can be picked."""
    found = advice.companions
    pair = found.pairs[0] if found else None
    companions: dict[str, list[Reason]] = {}
    spare: dict[Path, Swatch] = {}
    if found and pair:
        for chosen in (pair.background, pair.accent):
            companions[chosen.role] = [_reason(v) for v in chosen.verdicts]
        for other in (*found.backgrounds, *found.accents):
            spare.setdefault(other.path, _spare(other))
    others = list(spare.values()), companions, [_reason(v) for v in pair.verdicts] if pair else ()
    return ProofInput(f"{focus.name}: a proof", advice.proposals, *others, advice.facts.unsure)


def _spare(chosen: Companion) -> Swatch:
    fabric = replace(chosen.fabric, name=_name(chosen))
    return Swatch(fabric.name, fabric, None, tuple(_reason(v) for v in chosen.verdicts))


def _notes(advice: Advice) -> list[str]:
    """Why this quilt: the sentences that decided, and what is unsure."""
    best = advice.best
    shown = ("motif-fits", "upright", RULE)
    notes = [v.sentence for v in best.verdicts if v.rule in shown]
    doubts = [f"{v.title}: {v.sentence}" for v in best.verdicts if v.outcome != "pass"]
    size = f"{format_inches(advice.reading.width_in)} wide swatch"
    return [f"chosen for a {size}: " + "; ".join(notes), *advice.facts.unsure, *doubts]
