"""Begin the sequences of steps with a starting set: read first, chosen, changed afterwards."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import HttpResponse
from django.urls import reverse

from lifecycle.actions.refusals import Reason, Refused
from lifecycle.actions.treatment.sequences import UsualStep, add_sequences
from lifecycle.exchange.starting_sequences import (
    StartingSequence,
    StartingStep,
    starting_sequences,
)
from lifecycle.pages.door import SignedInRequest, signed_in
from lifecycle.pages.form_page import Done, FormPage, answer_form
from lifecycle.pages.treatment.seeing import posted, words_of
from lifecycle.planning.counting import counted
from lifecycle.process.bench_cautions import Rule, spoken_of
from lifecycle.process.cautions import CautionFor, cautions_for
from lifecycle.process.rights import Deed
from lifecycle.process.words import Hazard
from lifecycle.queries.treatment.cautions import brought_by, caution_rules
from lifecycle.records.models.treatment import MaterialKind, StepSequence
from lifecycle.records.models.words import Vocabulary, Word

#: What goes with the work itself, whatever the object is.
OF_THE_WORK = tuple(
    one for one in cautions_for([Hazard.NONE_KNOWN], CautionFor.TREAT) if one.hazard is None
)
MINUTES_A_DAY = 24 * 60


class ChooseForm(forms.Form):
    """Which of the sequences the laboratory takes."""

    chosen = forms.MultipleChoiceField(
        label="Take these",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one sequence."},
    )

    def offer(self, sequences: Iterable[StartingSequence]) -> None:
        field: Any = self.fields["chosen"]
        field.choices = [(one.code, one.name) for one in sequences]


@dataclass(frozen=True, slots=True)
class Line:
    """One step as it is read before it is taken."""

    said: StartingStep
    label: str
    cautions: tuple[Rule, ...]

    @property
    def days(self) -> int:
        """Whole days it takes; 0 for anything shorter or in between."""
        days, rest = divmod(self.said.minutes or 0, MINUTES_A_DAY)
        return 0 if rest else int(days)


@signed_in
def sequences_start(request: SignedInRequest) -> HttpResponse:
    """Take some of the starting sequences; those on record already stay as they are."""
    role = request.role_for(Deed.TREAT)
    sets = starting_sequences()
    words = {word.code: word for word in words_of(Vocabulary.TREATMENT_STEP)}
    have = set(StepSequence.objects.values_list("name", flat=True))
    rules = caution_rules()
    open_ones = [one for one in sets.values() if one.name not in have]
    form = ChooseForm(posted(request))
    form.offer(open_ones)

    def act(data: dict[str, Any]) -> Done:
        chosen = [sets[code] for code in data["chosen"]]
        made = add_sequences(
            by=request.person,
            role=role,
            at=request.at,
            chosen=[(one.name, one.words, _usual(one, words)) for one in chosen],
        )
        are = "is" if len(made) == 1 else "are"
        said = f"{counted(len(made), 'sequence')} {are} on record: change them to what you do."
        return Done(said, reverse("step-sequences"))

    page = FormPage(
        title="Begin with a starting set",
        submit="Take these",
        back=reverse("step-sequences"),
        cautions=[f"{one.about}: {one.text}" for one in OF_THE_WORK],
        template="treatment/sequences_start.html",
        more={
            "sequences": [
                (one, [_line(step, words, rules) for step in one.steps], one.name in have)
                for one in sets.values()
            ]
        },
    )
    return answer_form(request, form, act, page)


def _line(said: StartingStep, words: dict[str, Word], rules: tuple[Rule, ...]) -> Line:
    kind = MaterialKind(said.material_kind) if said.material_kind else None
    word = words.get(said.step)
    label = word.label if word is not None else said.step
    brought = brought_by(said.step, kind, said.temperature_c)
    return Line(said=said, label=label, cautions=spoken_of(brought, rules))


def _usual(one: StartingSequence, words: dict[str, Word]) -> list[UsualStep]:
    """The steps with the house's own words for them.

    :raises Refused: when the house took a step out of its list
    """
    if lost := sorted({step.step for step in one.steps} - set(words)):
        text = f"{one.name} needs steps that are not in your list: {', '.join(lost)}."
        raise Refused(Reason(text, "chosen"))
    return [
        UsualStep(
            step=words[step.step],
            hours=step.hours,
            material_name=step.material_name,
            concentration=step.concentration,
            amount=step.amount,
            minutes=step.minutes,
            temperature_c=step.temperature_c,
        )
        for step in one.steps
    ]
