"""The words a new museum starts with."""

from lifecycle.exchange.starting_words import starting_words


def test_every_starting_word_has_a_definition_of_its_own() -> None:
    assert [word for word in starting_words() if not word.definition.strip()] == []
