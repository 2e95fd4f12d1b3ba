"""Gates of the day in the gallery: placing an object, turning it, showing it again."""

from collections.abc import Iterator

from lifecycle.process.facts.display import InstallCheckFacts
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates.blocker import Blocker
from lifecycle.process.gates.preparing import ceilings_of
from lifecycle.process.minutes import before
from lifecycle.process.stages import Role
from lifecycle.process.words import ReportKind


def install_check_is_signed_by_two(facts: ShowingFacts) -> Iterator[Blocker]:
    check, number = facts.display.install, facts.object.number
    if check is None:
        text = f"There is no install check for {number} at its place: fill it in."
        yield Blocker("install.check", text, Role.CONSERVATOR)
    elif len(set(check.signed_by)) < 2:
        text = f"The install check of {number} is signed by fewer than two people: sign it."
        yield Blocker("install.two", text, Role.TECHNICIAN)


def mount_fits_in_place(facts: ShowingFacts) -> Iterator[Blocker]:
    check = facts.display.install
    if check is not None and not check.mount_fits:
        text = f"The mount of {facts.object.number} is not right in its place: correct it."
        yield Blocker("install.mount", text, Role.MOUNT_MAKER)


def companions_are_placed(facts: ShowingFacts) -> Iterator[Blocker]:
    for companion in facts.object.companions:
        if companion.needed and not companion.placed and not companion.may_stand_alone:
            text = (
                f"{companion.object_number} belongs with {facts.object.number} and is not placed: "
                "place it, or let the curator say that it may stand alone."
            )
            yield Blocker("companion.missing", text, Role.CURATOR, companion.object_number)


def courier_is_present(facts: ShowingFacts) -> Iterator[Blocker]:
    loan, check = facts.home.loan, facts.display.install
    if loan is None or check is None:
        return
    if loan.courier_at_install and not check.courier_present:
        text = (
            f"Loan {loan.number} asks for the lender's courier when {facts.object.number} is "
            "installed: wait for the courier and record it."
        )
        yield Blocker("courier.install", text, Role.REGISTRAR)


def right_face_is_the_right_way_up(facts: ShowingFacts) -> Iterator[Blocker]:
    check = facts.display.install
    if check is not None:
        wanted = [face.face_id for face in facts.faces]
        yield from _face_and_picture(facts, check, wanted[:1])


def _face_and_picture(
    facts: ShowingFacts, check: InstallCheckFacts, wanted: list[int]
) -> Iterator[Blocker]:
    number = facts.object.number
    if wanted and check.face_id not in wanted:
        label = next(f.label for f in facts.faces if f.face_id == wanted[0])
        text = f"{number} does not show the face planned now, {label}: turn it, or change the plan."
        yield Blocker("install.face", text, Role.CONSERVATOR)
    if not check.right_way_up:
        text = f"It is not confirmed that {number} is the right way up: look, correct, confirm."
        yield Blocker("install.way_up", text, Role.CONSERVATOR)
    if not check.photographed:
        text = f"There is no photograph of {number} in its place: take one."
        yield Blocker("install.photo", text, Role.TECHNICIAN)


def light_is_read(facts: ShowingFacts) -> Iterator[Blocker]:
    if facts.display.install is not None:
        yield from _lux_and_uv(facts, facts.display.install)


def _lux_and_uv(facts: ShowingFacts, check: InstallCheckFacts) -> Iterator[Blocker]:
    number, (lux, uv) = facts.object.number, ceilings_of(facts)
    if check.lux is None:
        text = f"The lux at {number} was not read with the lamps in show state: read it."
        yield Blocker("install.lux", text, Role.CONSERVATOR)
    elif lux is not None and check.lux > lux:
        text = (
            f"{check.lux:f} lx fall on {number} and {lux:f} lx is the ceiling: "
            "dim the lamps and read again."
        )
        yield Blocker("install.ceiling", text, Role.CONSERVATOR)
    if check.uv is None:
        text = f"The UV at {number} was not read: read it."
        yield Blocker("install.uv", text, Role.CONSERVATOR)
    elif uv is not None and check.uv > uv:
        text = (
            f"{check.uv:f} µW/lm of UV fall on {number} and {uv:f} µW/lm is the ceiling: "
            "filter the lamps and read again."
        )
        yield Blocker("install.ceiling", text, Role.CONSERVATOR, "uv")


def movement_is_received(facts: ShowingFacts) -> Iterator[Blocker]:
    for movement in facts.home.movements:
        if movement.left_at is not None and movement.arrived_at is None:
            text = (
                f"{facts.object.number} is on its way under {movement.number} and not received: "
                "receive it and sign."
            )
            yield Blocker("movement.received", text, Role.REGISTRAR, movement.number)
    if not any(m.to_position and m.received_signed for m in facts.home.movements):
        text = (
            f"No movement brought {facts.object.number} to its place with a signature of receipt: "
            "record it."
        )
        yield Blocker("movement.received", text, Role.REGISTRAR)


def position_is_free(facts: ShowingFacts) -> Iterator[Blocker]:
    other = facts.display.position_taken_by
    if other:
        text = (
            f"{other} lies in {facts.display.position or 'that position'}: take it out first, "
            f"or plan another position for {facts.object.number}."
        )
        yield Blocker("position.taken", text, Role.CONSERVATOR, other)


def off_going_face_is_compared(facts: ShowingFacts) -> Iterator[Blocker]:
    shown = facts.display.face_shown
    report = facts.report(ReportKind.OFF_GOING_FACE)
    label = next((f.label for f in facts.faces if f.face_id == shown), "the face shown now")
    since = facts.display.shown_since
    current = (
        report is not None
        and report.signed
        and (since is None or not before(report.examined_at, since))
        and (shown is None or shown in report.faces)
    )
    if report is None or not current:
        text = (
            f"{facts.object.number}, {label}, was not compared before it is turned away: "
            "sign a report of the off-going face."
        )
        yield Blocker("rotation.off_going", text, Role.CONSERVATOR)
        return
    for feature in report.not_answered:
        text = f"Feature {feature} of {facts.object.number} has no answer in {report.report_no}."
        yield Blocker("rotation.feature", text, Role.CONSERVATOR, feature)


def next_face_is_prepared(facts: ShowingFacts) -> Iterator[Blocker]:
    """Support for the coming face and a facsimile of the going one; a swap asks for neither."""
    turn, number = facts.display.next_turn(), facts.object.number
    if turn is None or turn.to_face_id is None:
        return
    if not facts.preparation.mount_fits(turn.to_face_id):
        text = (
            f"No mount was checked on {number}, {turn.to_face}, with the object present: "
            "make the fit check."
        )
        yield Blocker("mount.fit", text, Role.MOUNT_MAKER, turn.to_face)
    shown = facts.display.face_shown
    if shown is None:
        return
    facsimile = facts.preparation.facsimile_of(shown)
    if facsimile is None or not (facsimile.approved and facsimile.delivered):
        label = next((f.label for f in facts.faces if f.face_id == shown), "the face shown now")
        text = f"The facsimile of {number}, {label}, is not approved and delivered."
        yield Blocker("facsimile.missing", text, Role.PHOTOGRAPHER, label)


def on_coming_face_is_looked_at(facts: ShowingFacts) -> Iterator[Blocker]:
    report = facts.report(ReportKind.ON_COMING_FACE)
    since = next((m.at for m in reversed(facts.journal) if m.move == "start_rotation"), None)
    number = facts.object.number
    late = since is not None and report is not None and before(report.examined_at, since)
    if report is None or not report.signed or late:
        text = f"The on-coming face of {number} was not looked at: sign a short report."
        yield Blocker("rotation.on_coming", text, Role.CONSERVATOR)
    elif not report.photographed:
        text = f"The on-coming face of {number} was not photographed: add the picture."
        yield Blocker("rotation.photo", text, Role.CONSERVATOR)


def shown_again_check_is_signed(facts: ShowingFacts) -> Iterator[Blocker]:
    check, number = facts.display.show_again, facts.object.number
    if check is None:
        text = f"There is no check of {number} back in its place: fill it in."
        yield Blocker("rotation.check", text, Role.CONSERVATOR)
        return
    if len(set(check.signed_by)) < 2:
        text = f"The check of {number} back in its place is signed by fewer than two people."
        yield Blocker("install.two", text, Role.TECHNICIAN)
    if not check.mount_fits:
        text = f"The support of {number} does not fit its face: correct it."
        yield Blocker("install.mount", text, Role.MOUNT_MAKER)
    yield from _face_and_picture(facts, check, [])
    yield from _lux_and_uv(facts, check)
    if not (check.caption_right and check.facsimile_right):
        text = f"Facsimile and caption beside {number} were not exchanged: exchange and confirm."
        yield Blocker("rotation.facsimile", text, Role.CURATOR)
    loan = facts.home.loan
    if loan is not None and loan.courier_at_turn and not check.courier_present:
        text = (
            f"Loan {loan.number} asks for the lender's courier when {number} is turned: "
            "wait for the courier and record it."
        )
        yield Blocker("courier.turn", text, Role.REGISTRAR)
