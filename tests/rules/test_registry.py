"""The registry: what it finds in the folder, what packages bring, and weights that nobody has."""

import pytest

from setsolver.domain.brief import Brief
from setsolver.errors import BadBrief, BadTerm
from setsolver.rules import GainTerm, assemble
from setsolver.rules.registry import terms, weight_names
from setsolver.usecases.briefs import parse_brief
from tests.rules.brought import bring
from tests.rules.builders import make_brief, make_shoot

__all__ = ["bring"]


def test_every_term_of_the_folder_is_found_once_and_speaks_by_rank():
    found = terms()
    assert {"frames", "size", "quality", "role", "variety", "tone", "moment"} <= {term.name for term in found}
    assert len({type(term) for term in found}) == len(found)
    assert [term.rank for term in found] == sorted(term.rank for term in found)
    assert terms()[0].name == "frames"


def test_every_key_of_a_term_is_one_of_the_brief_and_every_weight_is_a_terms():
    fields = Brief.model_fields
    for term in terms():
        table, _, key = term.key.partition(".")
        assert table in fields
        assert not key or key in fields[table].annotation.model_fields
    assert set(weight_names()) == set(fields["weights"].annotation.model_fields)


def test_an_unknown_weight_is_told_with_its_line_and_the_nearest():
    with pytest.raises(
        BadBrief, match=r'^b: line 4: "qualty" is no key of \[weights\]; did you mean "quality"\? Its keys'
    ):
        parse_brief('name = "b"\nsize = 3\n[weights]\nqualty = 3\n', "b")
    with pytest.raises(BadBrief, match='"odd" is no key of'):
        assemble(make_shoot(3), make_brief(weights={"odd": 1}))


def test_a_weight_of_a_wrong_value_is_told_whoever_has_it():
    with pytest.raises(BadBrief, match=r"line 4: weights.odd = -3; allowed: a number from 0 to 1000"):
        parse_brief('name = "b"\nsize = 3\n[weights]\nodd = -3\n', "b")


def test_a_package_that_cannot_be_loaded_is_told(bring):
    bring("import nowhere_at_all\n")
    with pytest.raises(BadTerm, match=r"ModuleNotFoundError: .*nowhere_at_all.*mend or uninstall it"):
        terms()


def test_an_entry_point_that_leads_to_no_term_is_told(bring):
    bring("Odd = 3\n")
    with pytest.raises(BadTerm, match=r"the entry point odd of the group setsolver\.terms leads to 3"):
        terms()


def test_a_name_that_is_taken_is_told(bring):
    bring(
        "from setsolver.rules import GainTerm\n\nclass Odd(GainTerm):\n    name = 'quality'\n    key = 'weights.odd'\n"
        "    def apply(self, draft): ...\n    def says(self, member): return ''\n"
    )
    with pytest.raises(BadTerm, match=r"two terms are called quality: .*setsolver_odd"):
        terms()


def test_a_class_that_leaves_something_out_is_no_term():
    with pytest.raises(TypeError, match="abstract"):
        type("Odd", (GainTerm,), {"name": "odd", "key": "weights.odd"})()
