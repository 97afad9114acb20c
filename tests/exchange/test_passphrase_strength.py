"""How strong a passphrase is said to be: never stronger than whoever guesses would find it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketpump.exchange.backup.passphrase_strength import FAIR, STRONG, WEAK, strength_of

WORDS = st.sampled_from(["river", "candle", "orbit", "mustard", "seven", "lantern", "copper"])


@pytest.mark.parametrize(
    ("passphrase", "level"),
    [
        ("", WEAK), ("        ", WEAK), ("12345678", WEAK), ("password", WEAK),
        ("Passwort2026", WEAK), ("qwertzuiop", WEAK), ("aaaaaaaaaaaaaaaaaaaa", WEAK),
        ("27.03.1985", WEAK), ("27031985", WEAK), ("baclofen pump 2026", WEAK),
        ("river candle", WEAK), ("word word word word word word", WEAK),
        ("river candle orbit mustard", FAIR), ("rivercandleorbitmustard lamp", FAIR),
        ("river candle orbit mustard seven", STRONG), ("Xk7#pQ9!vR2m-zT4", STRONG),
        ("739184620551837429", STRONG), ("我们的房子在河边很好", STRONG),
    ],
)  # fmt: skip
def test_it_is_called_what_its_parts_are_worth(passphrase, level):
    assert strength_of(passphrase).level == level


@given(st.text(max_size=300))
def test_every_text_has_a_strength_and_a_sentence(text):
    found = strength_of(text)
    assert found.guesses >= 1
    assert found.sentence.startswith("This passphrase ")


@given(st.lists(WORDS, max_size=9), WORDS)
def test_one_more_word_never_makes_it_weaker(words, more):
    before, after = strength_of(" ".join(words)), strength_of(" ".join([*words, more]))
    assert after.guesses >= before.guesses


@given(st.lists(WORDS, min_size=1, max_size=9))
def test_saying_it_again_adds_next_to_nothing(words):
    once, twice = strength_of(" ".join(words)), strength_of(" ".join(words + words))
    assert twice.guesses <= once.guesses * (2.0 * (len(set(words)) + 1)) ** len(words) * 1.01
