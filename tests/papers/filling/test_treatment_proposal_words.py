"""What the treatment proposal says of the dangers of what it proposes."""

import pytest

from lifecycle.actions.treatment import MaterialDraft
from lifecycle.papers.filling.treatment_proposal import treatment_proposal_words
from lifecycle.process.stages import Role, Stage
from lifecycle.records.models.treatment import MaterialKind
from tests.builders.core import AT, make_museum, make_person, make_showing
from tests.builders.treatment import make_material, make_proposal, put_at

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("kind", "said"), [(MaterialKind.SOLVENT, True), (MaterialKind.TISSUE, False)]
)
def test_a_proposal_with_a_solvent_carries_the_caution_of_solvents(
    kind: MaterialKind, said: bool
) -> None:
    make_museum()
    showing = make_showing()
    put_at(showing, Stage.EXAMINATION)
    used = make_material(f"any {kind.label}", kind=kind, safety_note="As the data sheet says.")
    proposal = make_proposal(
        make_person(Role.CONSERVATOR), showing=showing, materials=(MaterialDraft(material=used),)
    )
    words = treatment_proposal_words(proposal.versions.get(), AT)
    assert any("under extraction" in line for line in words.about.cautions) is said
