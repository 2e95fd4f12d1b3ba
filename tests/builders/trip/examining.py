"""Asked for, answered, examined, assessed, treated."""

from datetime import timedelta

from lifecycle.actions.display.answering import answer_request, decline
from lifecycle.actions.display.assessing import Conditions, sign_assessment, write_assessment
from lifecycle.actions.display.requesting import FaceAsked, Wish, ask_for
from lifecycle.actions.treatment import (
    log_step,
    pair_pictures,
    sign_report,
    start_report,
    write_report,
)
from lifecycle.process.stages import Stage
from lifecycle.process.words import (
    Answer,
    FitForDisplay,
    LightKind,
    ReportKind,
)
from lifecycle.records.models import Showing
from lifecycle.records.models.display.assessment import AssessmentKind, RotationKind
from lifecycle.records.models.treatment import Proposal
from tests.builders.condition import make_signed
from tests.builders.display import hand
from tests.builders.treatment import agree, done, make_picture, make_sent, step_word
from tests.builders.trip.base import CLOSES, OPENS, R, Walker


class Examining(Walker):
    """The first half of a trip, on paper and at the bench."""

    def ask(self) -> Showing:
        days = (CLOSES - OPENS).days // len(self.faces)
        spans = [
            (OPENS + timedelta(days=days * n + bool(n)), OPENS + timedelta(days=days * (n + 1)))
            for n in range(len(self.faces))
        ]
        return ask_for(
            **self.curator,
            exhibition=self.exhibition,
            museum_object=self.thing,
            wish=Wish(
                faces=[
                    FaceAsked(face=face, from_on=first, until_on=last)
                    for face, (first, last) in zip(self.faces, spans, strict=True)
                ],
                reason="It shows the squall.",
                show_from=OPENS,
                show_to=CLOSES,
                no_alternative_because="Nothing else shows it.",
                place=self.place,
                late_note="Found late.",
                duplicates_seen=True,
            ),
        )

    def answer(self) -> None:
        answer_request(
            **self.conservator, showing=self.row(), answer=Answer.YES, because="The account allows."
        )

    def say_no(self) -> None:
        decline(
            **self.conservator,
            showing=self.row(),
            grounds=["weak-structure"],
            because="It can't be shown.",
        )

    def examine(self, kind: ReportKind = ReportKind.BASELINE) -> None:
        """A whole report through the real actions, with nothing to note."""
        make_signed(
            self.thing,
            kind=kind,
            by=self.crew.conservator,
            at=self.tick(hours=2),
            findings=0,
            faces=self.faces,
            showing=self.row(),
            where=self.museum.bench,
        )

    def assess(self) -> None:
        written = write_assessment(
            **self.conservator,
            showing=self.row(),
            said=Conditions(
                kind=AssessmentKind.AT_BENCH,
                fit=FitForDisplay.YES,
                sensitivity_class=self.museum.klass,
                lux_ceiling=50,
                uv_ceiling=10,
                max_dose_lx_h=75_000,
                max_weeks=52,
                rotation_plan=RotationKind.NONE,
                look_every_days=14,
                reading_every_days=28,
            ),
        )
        sign_assessment(
            **self.conservator,
            assessment=written,
            hand=hand(self.crew.conservator, R.CONSERVATOR),
        )

    def propose(self) -> None:
        """Before display or after it: the stage says which."""
        version = make_sent(
            self.crew.conservator, showing=self.row(), at=self.tick(),
            aftercare=self.stage is Stage.DEINSTALL_CHECK,
            finish_by=(self.at + timedelta(days=60)).date(),
        )  # fmt: skip
        agree(self.crew.curator, version, at=self.tick())

    def consent(self) -> None:
        proposal = Proposal.objects.filter(showing=self.showing).order_by("-pk")[0]
        agree(self.crew.curator, proposal.versions.order_by("-version")[0], at=self.tick())

    def treat(self) -> None:
        """One step logged, the check after it, the pictures paired, the report signed."""
        proposal = Proposal.objects.filter(showing=self.showing).order_by("-pk")[0]
        face = self.faces[0]
        before = make_picture(face, taken_at=self.tick(), light=LightKind.RAKING)
        said = self.conservator
        log_step(
            **said,
            museum_object=self.thing,
            proposal=proposal,
            done=done(step_word("mend"), at=said["at"], face=face),
        )
        self.report(ReportKind.AFTER_TREATMENT)
        check = self.row().condition_reports.filter(kind=ReportKind.AFTER_TREATMENT).latest("pk")
        after = make_picture(face, taken_at=self.tick(), light=LightKind.RAKING)
        report = start_report(**self.conservator, proposal=proposal)
        write_report(
            **self.conservator,
            report=report,
            words={
                "summary": "A tear was mended from the back.",
                "not_done": "The stain was left.",
                "remaining_risks": "The fold stays weak.",
                "new_limits": "None.",
                "housing_advice": "As before.",
                "removed_kept_where": "",
            },
            callback_on=None,
            after_check=check,
            edition=report.edition,
        )
        pair_pictures(**self.conservator, report=report, face=face, before=before, after=after)
        sign_report(hand=hand(self.crew.conservator, R.CONSERVATOR), at=self.tick(), report=report)
