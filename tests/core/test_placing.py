"""What compiled templates call. The escapes are those of markupsafe; see tests/parity for pages."""

from app.core.placing import Gone, PlacingError, each, escaped, get, shown


def fails(act, *given):
    """Return whether an act raises PlacingError."""
    try:
        act(*given)
    except PlacingError:
        return True
    return False


def test_nothing_turns_the_text_round():
    # Unicode, UAX 9, table 4 (published): embeddings, overrides and isolates with their ends
    for code in list(range(0x202A, 0x202F)) + list(range(0x2066, 0x206A)):
        assert escaped("a" + chr(code) + "b") == "a\ufffdb"
    for kept in ("שלום", "a\u200fb", "\u2065", "\u206a"):
        assert escaped(kept) == kept


def test_the_five_signs_are_escaped():
    # WHATWG HTML 13.1.4 (published): character references; spelled as markupsafe 3 (seen) does
    assert escaped("&<>\"'") == "&amp;&lt;&gt;&#34;&#39;"
    assert escaped("&amp;") == "&amp;amp;"
    assert shown("é 😀 {x} \n") == "é 😀 {x} \n"


def test_whole_numbers_are_shown_in_full():
    assert (shown(0), shown(-3), shown(10**20)) == ("0", "-3", "100000000000000000000")


def test_nothing_else_is_placed():
    for thing in (None, True, False, [], {}, b"x", Gone("x")):
        assert fails(shown, thing), thing


def test_get_finds_items():
    assert get({"a": 1}, "a") == 1
    assert get(["x"], 0) == "x"


USES = (
    bool,
    lambda gone: not gone,
    lambda gone: gone == "a",
    lambda gone: "a" == gone,  # noqa: SIM300 - from the other side
    lambda gone: gone != 1,
    lambda gone: None == gone,  # noqa: SIM300, E711
    lambda gone: gone < 1,
    list,
    lambda gone: "a" in gone,
    lambda gone: gone in ["a", "b"],
    lambda gone: get(gone, "b"),
    lambda gone: gone["b"],
    shown,
)


def test_what_is_not_there_fails_when_it_is_used_not_before():
    for thing, name in (({}, "a"), ([], 0), (None, "a"), ("text", "a"), (3, "a")):
        gone = get(thing, name)
        for number, use in enumerate(USES):
            assert fails(use, gone), (name, number)
        nothing: list[object] = []
        assert gone not in nothing


def test_for_goes_over_no_dict():
    assert each(["a"]) == ["a"]
    assert each("ab") == "ab"
    assert fails(each, {"a": 1})
