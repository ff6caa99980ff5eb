"""Words with parameters: filling, translating, and text that tries to break it."""

from app.core.quantity.messages import Len, Msg, Plural, Qty, key_of
from app.core.quantity.speaker import PseudoSpeaker, Speaker

SPANISH = {
    "Pack {size}.": "Calzar {size}.",
    "Still to measure: {places}.": "Falta medir: {places}.",
    "{n} of {all}": "{all}, de ellos {n}",
    "the head": "el dintel",
}


def test_a_message_without_holes_is_said_as_it_is():
    assert Speaker().say(Msg("Measure again.")) == "Measure again."


def test_holes_are_filled_by_name():
    assert Speaker().say(Msg("{n} of {all}", n=3, all=17)) == "3 of 17"


def test_a_hole_may_come_twice_and_at_either_end():
    assert Speaker().say(Msg("{a}-{b}-{a}", a="x", b="y")) == "x-y-x"


def test_a_parameter_without_a_hole_is_left_out():
    assert Speaker().say(Msg("Measure again.", n=3)) == "Measure again."


def test_a_hole_without_a_parameter_stays_to_be_seen():
    assert Speaker().say(Msg("Pack {size}.")) == "Pack {size}."


def test_braces_in_what_people_wrote_are_never_filled():
    for hostile in ("{n}", "{", "}", "{}", "{{n}}", "}{", "{n", "{0.__class__}", "%s %(n)s"):
        said = Speaker().say(Msg("{who} wrote {n}", who=hostile, n=4))
        assert said == hostile + " wrote 4", hostile


def test_a_template_with_stray_braces_keeps_them():
    assert Speaker().say(Msg("{", n=1)) == "{"
    assert Speaker().say(Msg("}", n=1)) == "}"
    assert Speaker().say(Msg("a } b {n} c {", n=1)) == "a } b 1 c {"
    assert Speaker().say(Msg("{}", n=1)) == "{}"


def test_markup_and_odd_characters_pass_through_untouched():
    for hostile in ("<script>", "a\x00b", "\u202eabc", "e\u0301", "🪟", "", "\n", "\\u0041"):
        assert Speaker().say(Msg("[{x}]", x=hostile)) == "[" + hostile + "]"


def test_long_text_and_many_holes():
    words = "ab" * 5000
    assert Speaker().say(Msg("{x}", x=words)) == words
    assert Speaker().say(Msg("{x}" * 500, x="y")) == "y" * 500


def test_a_message_inside_a_message_is_translated_too():
    inner = Msg("the head")
    assert Speaker(SPANISH).say(Msg("Pack {size}.", size=inner)) == "Calzar el dintel."


def test_the_translation_may_put_the_holes_in_another_order():
    assert Speaker(SPANISH).say(Msg("{n} of {all}", n=3, all=17)) == "17, de ellos 3"


def test_what_is_not_in_the_catalogue_is_said_in_english():
    assert Speaker(SPANISH).say(Msg("Grind {n}.", n=1)) == "Grind 1."


def test_what_people_wrote_is_never_translated():
    assert Speaker(SPANISH).say("the head") == "the head"
    assert Speaker(SPANISH).say(Msg("{x}", x="the head")) == "the head"


def test_lists_are_said_part_by_part():
    places = [Msg("the head"), "left", 3]
    said = Speaker(SPANISH).say(Msg("Still to measure: {places}.", places=places))
    assert said == "Falta medir: el dintel, left, 3."
    assert Speaker().say(()) == ""


def test_whole_numbers_beyond_64_bits_are_said_in_full():
    assert Speaker().say(Msg("{n}", n=10**30)) == "1" + "0" * 30


def test_pseudo_language_marks_templates_and_not_what_people_wrote():
    said = PseudoSpeaker().say(Msg("Pack {size}, {who}.", size=Msg("a little"), who="Ana"))
    assert said == "⟦Pack ⟦a little⟧, Ana.⟧"
    assert PseudoSpeaker().word("Save") == "⟦Save⟧"


def test_messages_compare_by_template_and_parameters():
    assert Msg("Pack {n}.", n=1) == Msg("Pack {n}.", n=1)
    assert Msg("Pack {n}.", n=1) != Msg("Pack {n}.", n=2)
    assert Msg("Pack {n}.", n=1) != Msg("Grind {n}.", n=1)
    assert Msg("Pack.") != "Pack."
    assert len({Msg("a", n=1), Msg("a", n=1), Msg("b")}) == 2


def test_lengths_and_quantities_compare_by_value():
    assert Len(5) == Len(5) and Len(5) != Len(6) and Len(5) != Len(5, "place")
    assert Qty("mass", 5) == Qty("mass", 5) and Qty("mass", 5) != Qty("force", 5)
    assert hash(Len(5)) == hash(Len(5)) and Len(5) != 5


def test_one_and_several():
    turns = Plural("{count} turn of {what}", "{count} turns of {what}")
    assert [Speaker().say(turns.of(n, what="a screw")) for n in (0, 1, 2)] == [
        "0 turns of a screw",
        "1 turn of a screw",
        "2 turns of a screw",
    ]
    spanish = Speaker({"{count} turn of {what}": "{count} vuelta de {what}"})
    assert spanish.say(turns.of(1, what="x")) == "1 vuelta de x"


def test_one_english_word_with_two_meanings():
    number = Msg("no", context="number")
    speaker = Speaker({"no": "no", key_of("number", "no"): "ninguna"})
    assert [speaker.say(Msg("no")), speaker.say(number)] == ["no", "ninguna"]
    assert Speaker().say(number) == "no"
    assert number != Msg("no")
    assert number == Msg("no", context="number")
