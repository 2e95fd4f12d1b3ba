"""The moves of the process: one table, read by actions, pages, duties and tests alike."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from lifecycle.process import saying as ask
from lifecycle.process.facts.showing import ShowingFacts
from lifecycle.process.gates import (
    asking,
    examining,
    findings,
    ink,
    installing,
    leaving,
    preparing,
)
from lifecycle.process.move import Move
from lifecycle.process.rights import Deed
from lifecycle.process.saying import TAKEN_OVER_INTO
from lifecycle.process.stages import BEFORE_DISPLAY, CLOSED, Role, Stage

_C, _CU, _R, _T = Role.CONSERVATOR, Role.CURATOR, Role.REGISTRAR, Role.TECHNICIAN


def _from(*stages: Stage) -> frozenset[Stage | None]:
    return frozenset(stages)


_TABLE: Final = (
    Move(
        name="request",
        label="Request",
        done="asked for",
        sources=frozenset({None}),
        targets=frozenset({Stage.SELECTION}),
        deeds={_CU: Deed.CHOOSE},
        gates=(
            asking.object_is_known,
            asking.exhibition_still_takes_objects,
            asking.reason_is_given,
            asking.dates_lie_inside_the_run,
            asking.faces_are_named_in_order,
            asking.alternatives_were_asked,
            asking.other_bookings_were_seen,
        ),
    ),
    Move(
        name="take_over",
        label="Take over",
        done="taken over",
        sources=frozenset({None}),
        targets=TAKEN_OVER_INTO,
        deeds={_R: Deed.REGISTER},
        gates=(
            asking.object_is_known,
            asking.taking_over_is_open,
            asking.taking_over_is_stated,
            asking.object_is_in_no_other_showing,
        ),
        asks=(ask.where_it_stands, ask.a_conservator_beside),
    ),
    Move(
        name="take_in",
        label="Take in for examination",
        done="taken in for examination",
        sources=_from(Stage.SELECTION),
        targets=frozenset({Stage.EXAMINATION}),
        deeds={_C: Deed.EXAMINE},
        gates=(
            examining.object_is_not_held,
            asking.request_was_answered_with_yes,
            asking.faces_are_named_in_order,
            asking.faces_may_be_shown,
            asking.object_is_in_no_other_showing,
            asking.no_other_booking_overlaps,
            asking.light_account_answers,
            asking.light_account_allows_it,
            asking.lender_was_asked,
        ),
    ),
    Move(
        name="decline",
        label="Decline",
        done="declined",
        sources=_from(Stage.SELECTION, Stage.EXAMINATION),
        targets=frozenset({Stage.DECLINED}),
        deeds={_C: Deed.EXAMINE, _CU: Deed.CHOOSE},
        gates=(asking.refusal_is_grounded_and_kept,),
    ),
    Move(
        name="begin_treatment",
        label="Begin treatment",
        done="treatment begun",
        sources=_from(Stage.EXAMINATION),
        targets=frozenset({Stage.TREATMENT}),
        deeds={_C: Deed.TREAT},
        gates=(
            examining.no_hold_forbids_treatment,
            examining.baseline_is_signed,
            examining.treatment_is_consented,
        ),
        asks=(ask.limits_are_read,),
    ),
    Move(
        name="no_treatment_needed",
        label="No treatment needed",
        done="passed on without treatment",
        sources=_from(Stage.EXAMINATION),
        targets=frozenset({Stage.MOUNTING}),
        deeds={_C: Deed.EXAMINE},
        gates=(
            examining.object_is_not_held,
            examining.baseline_is_signed,
            examining.object_is_fit_for_display,
        ),
    ),
    Move(
        name="finish_treatment",
        label="Finish treatment",
        done="treatment finished",
        sources=_from(Stage.TREATMENT),
        targets=frozenset({Stage.MOUNTING, Stage.REHOUSING}),
        deeds={_C: Deed.TREAT},
        gates=(
            examining.object_is_not_held,
            examining.treatment_report_is_signed,
            examining.checked_after_treatment,
            examining.treated_faces_are_pictured,
            examining.deviations_are_consented,
            findings.consents_after_findings_are_settled,
        ),
    ),
    Move(
        name="look_again",
        label="Look again",
        done="sent back to be looked at again",
        sources=_from(Stage.TREATMENT, Stage.MOUNTING, Stage.READY),
        targets=frozenset({Stage.EXAMINATION}),
        deeds={_C: Deed.EXAMINE},
        asks=(ask.a_reason,),
    ),
    Move(
        name="declare_ready",
        label="Declare ready",
        done="declared ready",
        sources=_from(Stage.MOUNTING),
        targets=frozenset({Stage.READY}),
        deeds={_C: Deed.EXAMINE, _R: Deed.REGISTER},
        gates=(
            examining.object_is_not_held,
            asking.faces_are_named_in_order,
            ink.ink_may_be_shown,
            preparing.imaging_is_accepted,
            preparing.hidden_faces_have_facsimiles,
            preparing.mount_fits_every_face,
            preparing.caption_is_approved,
            preparing.place_is_planned,
            preparing.companions_are_planned_with_it,
            preparing.case_is_proven,
            preparing.light_is_under_the_ceiling,
            preparing.route_is_walked,
            preparing.hazards_are_assessed,
            preparing.condition_is_fresh,
            findings.findings_are_settled,
        ),
    ),
    Move(
        name="install",
        label="Install",
        done="installed",
        sources=_from(Stage.READY),
        targets=frozenset({Stage.ON_DISPLAY}),
        deeds={_C: Deed.HANDLE},
        gates=(
            examining.object_is_not_held,
            ink.ink_may_be_shown,
            ink.ink_move_is_signed_off,
            installing.install_check_is_signed_by_two,
            installing.mount_fits_in_place,
            installing.companions_are_placed,
            installing.courier_is_present,
            installing.right_face_is_the_right_way_up,
            installing.light_is_read,
            installing.movement_is_received,
            installing.position_is_free,
        ),
        asks=(ask.a_second_pair_of_hands,),
    ),
    Move(
        name="start_rotation",
        label="Start rotation",
        done="taken out of its place for a turn or swap",
        sources=_from(Stage.ON_DISPLAY),
        targets=frozenset({Stage.ROTATION}),
        deeds={_C: Deed.HANDLE},
        gates=(
            examining.object_is_not_held,
            ink.ink_move_is_signed_off,
            installing.off_going_face_is_compared,
            installing.next_face_is_prepared,
        ),
        asks=(ask.a_planned_turn_or_a_reason, ask.a_second_pair_of_hands),
    ),
    Move(
        name="show_again",
        label="Show again",
        done="back on display",
        sources=_from(Stage.ROTATION),
        targets=frozenset({Stage.ON_DISPLAY}),
        deeds={_C: Deed.HANDLE},
        gates=(
            examining.object_is_not_held,
            ink.ink_may_be_shown,
            installing.on_coming_face_is_looked_at,
            installing.shown_again_check_is_signed,
            installing.position_is_free,
        ),
        asks=(ask.a_second_pair_of_hands,),
    ),
    Move(
        name="take_down",
        label="Take down",
        done="taken down",
        sources=_from(Stage.ON_DISPLAY, Stage.ROTATION),
        targets=frozenset({Stage.DEINSTALL_CHECK}),
        deeds={_C: Deed.PART_A, _R: Deed.PART_A, _T: Deed.PART_A},
        gates=(
            leaving.companions_come_down_too,
            leaving.found_state_is_recorded,
            leaving.last_light_is_written,
            leaving.early_end_is_explained,
        ),
        asks=(ask.two_hands_or_an_emergency,),
    ),
    Move(
        name="pass_check",
        label="Pass check",
        done="checked after display",
        sources=_from(Stage.DEINSTALL_CHECK),
        targets=frozenset({Stage.REHOUSING}),
        deeds={_C: Deed.EXAMINE},
        gates=(
            examining.object_is_not_held,
            leaving.part_a_is_countersigned,
            leaving.part_b_is_signed,
            leaving.changes_are_answered,
            leaving.lenders_side_has_signed,
        ),
    ),
    Move(
        name="aftercare",
        label="Begin aftercare",
        done="aftercare begun",
        sources=_from(Stage.DEINSTALL_CHECK),
        targets=frozenset({Stage.TREATMENT}),
        deeds={_C: Deed.TREAT},
        gates=(
            examining.no_hold_forbids_treatment,
            leaving.part_b_is_signed,
            examining.aftercare_is_consented,
        ),
        asks=(ask.limits_are_read,),
    ),
    Move(
        name="send_home",
        label="Send home",
        done="sent home; the file is closed",
        sources=_from(Stage.REHOUSING),
        targets=frozenset({Stage.RETURNED}),
        deeds={_R: Deed.REGISTER},
        gates=(
            examining.object_is_not_held,
            ink.ink_move_is_signed_off,
            leaving.part_a_is_countersigned,
            leaving.part_b_is_signed,
            leaving.housing_fits,
            leaving.housing_label_is_printed,
            leaving.movement_home_is_confirmed,
            leaving.no_incident_is_open,
            leaving.no_report_is_unsigned,
            examining.no_consent_is_open,
            leaving.no_paper_is_out,
            leaving.lender_gets_it_back,
            leaving.resting_day_is_stored,
        ),
    ),
    Move(
        name="pass_on",
        label="Pass on",
        done="passed on to its next showing",
        sources=_from(Stage.DEINSTALL_CHECK),
        targets=frozenset({Stage.RETURNED}),
        also=(Stage.SELECTION, Stage.EXAMINATION),
        deeds={_R: Deed.REGISTER},
        gates=(
            examining.object_is_not_held,
            leaving.part_a_is_countersigned,
            leaving.part_b_is_signed,
            leaving.changes_are_answered,
            ink.ink_move_is_signed_off,
            leaving.next_showing_is_accepted,
            leaving.travel_housing_fits,
            leaving.one_movement_passes_it_on,
        ),
        asks=(ask.a_conservator_beside,),
    ),
    Move(
        name="withdraw",
        label="Withdraw",
        done="withdrawn",
        sources=frozenset(BEFORE_DISPLAY),
        targets=frozenset({Stage.WITHDRAWN}),
        deeds={_CU: Deed.CHOOSE},
        gates=(leaving.substitute_is_settled, leaving.object_is_back_in_its_place),
        asks=(ask.a_reason,),
    ),
)

MOVES: Final[Mapping[str, Move]] = MappingProxyType({move.name: move for move in _TABLE})


def open_moves(stage: Stage | None) -> list[Move]:
    """Return the moves that start from this stage, in the order of the table."""
    return [move for move in _TABLE if stage in move.sources]


def onward(facts: ShowingFacts) -> Move | None:
    """Return the one move that carries the showing on from here; None at the end.

    At examination the open proposals decide, or whoever asked for treatment first; on
    display the next planned turn.
    """
    stage = facts.stage
    if stage is None or stage in CLOSED:
        return None
    if stage is Stage.EXAMINATION:
        before = [p for p in facts.proposals if not p.aftercare]
        asked = not before and examining.asks_treatment(facts)
        wanted = asked or any(not p.report_signed for p in before)
        return MOVES["begin_treatment" if wanted else "no_treatment_needed"]
    if stage is Stage.ON_DISPLAY:
        return MOVES["start_rotation" if facts.display.next_turn() else "take_down"]
    return MOVES[_ONWARD[stage]]


_ONWARD: Final[Mapping[Stage, str]] = MappingProxyType(
    {
        Stage.SELECTION: "take_in",
        Stage.TREATMENT: "finish_treatment",
        Stage.MOUNTING: "declare_ready",
        Stage.READY: "install",
        Stage.ROTATION: "show_again",
        Stage.DEINSTALL_CHECK: "pass_check",
        Stage.REHOUSING: "send_home",
    }
)
