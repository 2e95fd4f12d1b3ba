"""Words of papers with plain defaults, for drawing without any row."""

from dataclasses import replace

from lifecycle.papers.drawing.numbered_picture import ZONES, mark_in_zone
from lifecycle.papers.words.blocks import Stamp
from lifecycle.papers.words.condition_report import ConditionReportWords, GradeWords
from lifecycle.papers.words.deinstall_form import DeinstallFormWords
from lifecycle.papers.words.incident_report import FoundObject, IncidentReportWords
from lifecycle.papers.words.movement_slip import MovementSlipWords
from lifecycle.papers.words.parts import (
    BlockO,
    DatedLine,
    FacePage,
    FaceWords,
    FeatureWords,
    LightWords,
    MarkWords,
    PictureWords,
    ReportWords,
    SignatureWords,
)
from lifecycle.papers.words.treatment_report import (
    BeforeAfterWords,
    FeatureThenNow,
    MaterialWords,
    StepWords,
    TreatmentReportWords,
)
from lifecycle.papers.words.turn_instruction import TurnInstructionWords

PICTURE = PictureWords(sha256="a" * 64, width=900, height=640)
DIGEST = "3f9c21be07" + "0" * 54
INSTITUTION = "Hollinshire County Museum"

FACE = FaceWords(
    label="ff. 31v-32r",
    kind="opening",
    landmark="“Wind at South West, small Rain by Noon”",
    picture=PICTURE,
)
NEXT_FACE = FaceWords(
    label="ff. 88v-89r", kind="opening", landmark="“The Glass fell much”", picture=PICTURE
)

DIARY = BlockO(
    object_number="HCM.1908.12",
    exhibition_number="RBN 14",
    title="Weather diary of Hester Plym",
    maker="Hester Plym",
    date_text="1741-69",
    object_type="bound manuscript",
    owner=INSTITUTION,
    face=FACE,
    orientation="flat_face_up",
    orientation_words="flat, face up",
    hazards=("none_known",),
    hazard_line="Hazards: none known",
    handling_line="Handling: flat, face up. Open no wider than 100 degrees; support both boards.",
    cautions=("Clean, dry hands; a support under every move.",),
)

BAROMETER = replace(
    DIARY,
    object_number="HCM.1899.2",
    exhibition_number="RBN 31",
    title="Stick barometer",
    maker="Anders Quillon",
    date_text="1779",
    object_type="instrument",
    face=FaceWords(label="front", kind="side", landmark="silvered scale, “Stormy”"),
    orientation="upright_only",
    orientation_words="upright only",
    hazards=("mercury_liquid",),
    hazard_line="Hazard: mercury (liquid)",
    handling_line="Handling: upright only; two people; never lay it flat.",
    cautions=("Mercury (liquid): keep the instrument upright; follow the local spill plan.",),
)


def feature(number: int, *, note: str = "") -> FeatureWords:
    terms = ("cockling", "tear", "foxing", "ink loss", "tideline", "stain")
    return FeatureWords(
        number=number,
        term=terms[number % len(terms)],
        layer="support",
        zone=ZONES[number % len(ZONES)],
        size=f"{number + 3} mm",
        severity="1 slight",
        last_state="same",
        note=note or "along the lower edge",
        last_seen_unchanged="12 July 2026 (look, through glass)",
    )


def face_page(findings: int = 5, face: FaceWords = FACE) -> FacePage:
    marks = tuple(
        MarkWords(number=one, x=7.0 + (one * 37) % 86, y=9.0 + (one * 23) % 82)
        if one % 3
        else mark_in_zone(one, ZONES[one % len(ZONES)])
        for one in range(1, findings + 1)
    )
    return FacePage(
        face=face,
        features=tuple(feature(one) for one in range(1, findings + 1)),
        marks=marks,
        next_number=findings + 1,
    )


LIGHT = LightWords(
    total="26,376 lx·h since 14 March 2026 (likely; low 24,980, high 27,410)",
    ceiling="50 lx, UV 10 µW/lm",
    basis="6 readings, longest gap 31 days, meter LM-2",
    points=("N3-a", "N3-b"),
    last_readings=("42 lx, UV 4 µW/lm at N3-a on 1 June 2026 09:20",),
)
BASELINE = ReportWords(
    number="CR-0007", kind="baseline", when="3 February 2026 10:15", who="Marit Oldacre"
)
GRADES = (
    GradeWords(grade="good", meaning="Suitable for its use; stable, nothing to do."),
    GradeWords(grade="fair", meaning="Damage seen, stable; needs attention in time."),
    GradeWords(grade="poor", meaning="Use is limited; action is wanted soon."),
    GradeWords(grade="unacceptable", meaning="Unstable or a danger to others; act now."),
)
LIGHTS = ("diffuse", "raking", "transmitted", "axial (specular)", "long-wave UV", "magnified")
NOT_SEEN = ("verso", "under mount", "gutter", "inside frame")


def condition_report_words(about: BlockO = DIARY, findings: int = 5) -> ConditionReportWords:
    return ConditionReportWords(
        institution=INSTITUTION,
        about=about,
        report_no="CR-0012",
        kind="before install",
        signed=False,
        signed_by=(),
        reason="exhibition",
        exhibition="RBN, Rain by Noon: three centuries of watching the weather",
        materials="laid paper, iron-gall ink, calf",
        techniques="pen and ink, sewn on five supports",
        sizes=("closed 321 × 204 × 48 mm", "open 321 × 402 mm"),
        weight="1.9 kg",
        components=("volume", "loose leaf", "ribbon"),
        compared_with=BASELINE,
        light_allowed="50 lx, UV 10 µW/lm",
        climate_allowed="16 to 22 °C, 45 to 55 % RH, at most 5 % RH change in 24 h",
        written_so_far=(),
        seen_as=("unhoused", "in mount", "framed, glazed", "framed, unglazed", "in housing"),
        lights=LIGHTS,
        not_seen=NOT_SEEN,
        grades=GRADES,
        stabilities=("stable", "changing slowly", "changing", "not known"),
        fits=("yes", "with limits", "no"),
        faces=(face_page(findings),),
        signatures=(
            SignatureWords(capacity="Examined by", name="Marit Oldacre", role="conservator"),
            SignatureWords(capacity="Second reader"),
        ),
    )


def deinstall_form_words(about: BlockO = DIARY, findings: int = 5) -> DeinstallFormWords:
    return DeinstallFormWords(
        institution=INSTITUTION,
        about=about,
        showing_no="RQ-0014",
        exhibition="RBN, Rain by Noon: three centuries of watching the weather",
        place="North Gallery, case N3, position A",
        on_display_since="9 March 2026 11:20",
        baseline=BASELINE,
        last_in_display=replace(BASELINE, number="CR-0031", kind="in display"),
        light=LIGHT,
        events=(
            DatedLine(when="20 July 2026 08:10", what="case opened", who="Bram Oduya"),
            DatedLine(when="10 August 2026", what="lamp replaced", who="facilities"),
        ),
        due=(DatedLine(when="7 September 2026", what="lux at N3-a", who="Marit Oldacre"),),
        companions=(),
        lights=LIGHTS,
        not_seen=NOT_SEEN,
        next_steps=("quarantine", "bench", "housing", "pack"),
        shown_face=about.face.label if about.face else "",
        faces=(face_page(findings, about.face or FACE),),
        lender="",
        signatures_a=(
            SignatureWords(capacity="Taken down by, conservator"),
            SignatureWords(capacity="Second hand, technician"),
        ),
        signatures_b=(
            SignatureWords(capacity="Compared by, conservator"),
            SignatureWords(capacity="Received by, registrar"),
        ),
    )


def movement_slip_words(*objects: BlockO) -> MovementSlipWords:
    carried = objects or (BAROMETER,)
    return MovementSlipWords(
        institution=INSTITUTION,
        movement_no="MV-0031",
        objects=carried,
        going_from="Objects lab, bench 2",
        going_to="North Gallery, case N7, position A",
        reason="install",
        planned_for="Wed 11 March 2026 10:00",
        expected_back="",
        authorised_by="Josephine Abara, registrar",
        authorised_at="10 March 2026 16:05",
        people_needed=2,
        people_words="Two people, both named",
        method="carried upright in its rack",
        carried_by="Bram Oduya",
        route_remarks="Lift B; doors held open",
        card_numbers=tuple(f"RC-{at:04d}" for at, _ in enumerate(carried, start=1)),
        hazard_line="; ".join(dict.fromkeys(one.hazard_line for one in carried)),
        cautions=tuple(dict.fromkeys(line for one in carried for line in one.cautions)),
    )


def turn_instruction_words(about: BlockO = DIARY, findings: int = 4) -> TurnInstructionWords:
    return TurnInstructionWords(
        institution=INSTITUTION,
        about=about,
        turn_no="TU-0004",
        kind="turn to the next face",
        exhibition="RBN, Rain by Noon",
        place="North Gallery, case N3, position A",
        planned_for="Mon 8 June 2026, before opening",
        why_this_day="Two trained people are there; the even day is Mon 15 June 2026",
        last_day="Mon 22 June 2026",
        days_in_hand="14 days",
        people=(
            SignatureWords(capacity="Turned by", name="Marit Oldacre", role="conservator"),
            SignatureWords(capacity="With", name="Bram Oduya", role="technician"),
        ),
        comes_off=face_page(findings),
        goes_on=face_page(findings, NEXT_FACE),
        goes_on_object=None,
        support_now="cradle MT-0003",
        support_next="cradle MT-0004, 95 degrees",
        facsimile_out="FX-0002 of ff. 88v-89r",
        facsimile_in="FX-0001 of ff. 31v-32r",
        caption_out="caption 14a",
        caption_in="caption 14b",
        tools="polyester strip, weights, lux meter LM-2",
        steps=(
            "Photograph the case as it is, then open it.",
            "Loosen the strips from the middle outwards; one person holds both boards.",
            "Turn to the landmark of the next face; check it before anything is tied.",
        ),
        light=LIGHT,
        stop_rule="Stop if the joint opens, a leaf catches, or a loose flake is seen; close the "
        "volume and call the conservator.",
    )


def incident_report_words(about: BlockO = DIARY) -> IncidentReportWords:
    return IncidentReportWords(
        institution=INSTITUTION,
        incident_no="IN-0004",
        kind="water",
        place="North Gallery, case N3",
        found_at="2 June 2026 09:40",
        found_by="Bram Oduya",
        happened="not known",
        seen="Drops on the inside of the glass above the left page; the felt below is damp.",
        objects=(
            FoundObject(
                about=about,
                last_seen="1 June 2026 08:55 (look, through glass)",
                last_report="CR-0031 version 1 (in display), 12 May 2026, Marit Oldacre",
            ),
        ),
        readings=(DatedLine(when="1 June 2026 09:20", what="42 lx, UV 4 µW/lm"),),
        made_safe="",
        told=(),
        tell=("owner or lender", "conservator", "curator", "head of collections"),
        statements=(),
        outcome=(("Severity", "not yet"), ("Cause", "not yet"), ("Lesson", "none yet")),
        closed="",
        cautions=("Clean, dry hands; a support under every move.",),
    )


def stamp(**values: str) -> Stamp:
    filled = {
        "record_no": "CR-0012",
        "digest": DIGEST,
        "print_no": "PR-00412",
        "code": "K7Q2MXD",
        "address": "http://127.0.0.1:8000/p/K7Q2MXD/",
        "printed_at": "Wed 25 November 2026 10:42 GMT",
        "printed_by": "Josephine Abara",
        "copy": "to sign",
    } | values
    return Stamp(version=4, **filled)


def treatment_report_words(about: BlockO = DIARY, steps: int = 4) -> TreatmentReportWords:
    return TreatmentReportWords(
        institution=INSTITUTION,
        about=about,
        proposal_no="TP-0031",
        version=1,
        corrects="",
        signed=False,
        signed_by=(),
        exhibition="RBN, Rain by Noon",
        consents=(
            DatedLine(
                when="9 March 2026 11:20",
                what="v2: agree within limits; no humidification of ff. 88v-89r",
                who="Wen Castellane, curator",
            ),
        ),
        based_on=BASELINE,
        after_check=None,
        features=(
            FeatureThenNow(
                name="F3",
                what="tear",
                where="ff. 31v-32r, C1",
                before="severity 2 plain. 14 mm, opens when the leaf is turned",
                after="treated, severity 0 trace. Mended from the back",
            ),
        ),
        summary="Two tears were mended from the back with thin tissue.",
        steps=tuple(
            StepWords(
                number=one,
                when="11 March 2026 10:05",
                who="Marit Oldacre",
                what="mend",
                where="ff. 31v-32r, F3, C1",
                with_what="Mulberry tissue, 9 g, batch T-0306, 4 %, 12 min",
                result="Lies flat; a faint edge of tissue shows in raking light.",
                under="v2",
            )
            for one in range(1, steps + 1)
        ),
        hours="3.5 h",
        deviations=(),
        findings=(),
        removed=(
            DatedLine(
                when="11 March 2026 09:40",
                what="Brown tape, 40 mm. Kept: envelope 3 of the object file",
                who="Marit Oldacre",
            ),
        ),
        removed_kept_where="Envelope 3 of the object file.",
        materials=(
            MaterialWords(
                name="Mulberry tissue, 9 g, batch T-0306",
                used="mend, 4 %",
                plain="Thin paper of long fibres that holds a tear.",
            ),
        ),
        take_off="Damp the mend locally and lift it.",
        not_done="The stain was left as evidence of use.",
        remaining_risks="The fold stays weak.",
        advice_use="Open to 100° at most.",
        advice_housing="Box with a drop front; nothing on top of it.",
        call_back="Tue 9 March 2027",
        pairs=(
            BeforeAfterWords(
                light="raking light",
                before=FACE,
                before_at="10 March 2026 15:00",
                after=FACE,
                after_at="12 March 2026 15:00",
            ),
        ),
        not_pictured="",
        signatures=(
            SignatureWords(
                capacity="Treated and reported by", name="Marit Oldacre", role="conservator"
            ),
            SignatureWords(capacity="Second reader", role="conservator"),
        ),
    )
