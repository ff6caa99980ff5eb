"""What is remembered, and when it is forgotten. Worked out by hand."""

from app.core.errors import InputError
from app.core.quantity.messages import Msg
from app.core.record.memory import Memory


class Adder:
    """Adds numbers of its own, each under a source, and counts how often it does."""

    def __init__(self):
        self.memory = Memory()
        self.numbers = {"a": 1, "b": 2, "c": 3}
        self.worked = []

    def number(self, source):
        self.memory.note(source)
        return self.numbers[source]

    def total(self, sources):
        def add():
            self.worked.append(sources)
            return sum([self.number(source) for source in sources])

        return self.memory.answer("=" + sources, add)

    def twice(self):
        def double():
            self.worked.append("twice")
            return 2 * self.total("ab")

        return self.memory.answer("=twice", double)

    def change(self, source, number):
        self.numbers[source] = number
        self.memory.forget(source)


def test_an_answer_is_worked_out_once():
    adder = Adder()
    assert [adder.total("ab"), adder.total("ab")] == [3, 3]
    assert adder.worked == ["ab"]


def test_it_is_forgotten_when_what_it_was_read_from_changes_and_only_then():
    adder = Adder()
    assert (adder.total("ab"), adder.total("bc")) == (3, 5)
    adder.change("a", 10)
    assert (adder.total("ab"), adder.total("bc")) == (12, 5)
    assert adder.worked == ["ab", "bc", "ab"]


def test_what_was_worked_out_of_an_answer_goes_with_it():
    adder = Adder()
    assert adder.twice() == 6
    assert adder.total("ab") == 3  # remembered: it was asked for on the way
    adder.change("b", 0)
    assert adder.twice() == 2
    assert adder.worked == ["twice", "ab", "twice", "ab"]


def test_an_answer_that_was_remembered_already_counts_for_who_asks_later():
    adder = Adder()
    assert adder.total("ab") == 3
    assert adder.twice() == 6
    adder.change("a", 4)
    assert adder.twice() == 12


def test_where_it_raises_nothing_is_remembered_and_who_asked_has_read_the_same():
    memory = Memory()
    given = [False]

    def inner():
        memory.note("given")
        if not given[0]:
            raise InputError("not-given", Msg("Not given."))
        return 5

    def outer():
        try:
            return memory.answer("=inner", inner)
        except InputError:
            return 0

    assert memory.answer("=outer", outer) == 0
    assert not memory.holds("=inner")
    given[0] = True
    memory.forget("given")
    assert memory.answer("=outer", outer) == 5
    assert memory.holds("=inner")


def test_nothing_is_forgotten_by_a_source_that_nobody_read():
    adder = Adder()
    assert adder.total("ab") == 3
    adder.memory.forget("z")
    assert adder.total("ab") == 3
    assert adder.worked == ["ab"]
