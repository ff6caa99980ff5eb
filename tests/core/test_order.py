"""Stable sorting: the same under both interpreters."""

from app.core.order import sort_by


def _first(pair):
    return pair[0]


def test_empty_and_single_lists_come_back_as_new_lists():
    empty = []
    assert sort_by(empty, len) == []
    assert sort_by(empty, len) is not empty
    assert sort_by(["a"], len) == ["a"]


def test_example_of_the_docstring():
    assert sort_by(["bb", "a", "cc"], len) == ["a", "bb", "cc"]


def test_equal_keys_keep_their_order():
    items = [(n % 7, n) for n in range(300)]
    expected = [(key, n) for key in range(7) for n in range(key, 300, 7)]
    assert sort_by(items, _first) == expected


def test_all_keys_equal_changes_nothing():
    items = [(0, n) for n in range(129)]
    assert sort_by(items, _first) == items


def test_2000_items_already_in_order():
    items = [(n, "x") for n in range(2000)]
    assert sort_by(items, _first) == items


def test_2000_items_in_reverse_order():
    items = [(2000 - n, "x") for n in range(2000)]
    assert sort_by(items, _first) == [(n, "x") for n in range(1, 2001)]


def test_every_length_up_to_40_in_a_scrambled_order():
    # 17 has no common divisor with 41, so n * 17 % 41 meets every whole number below 41 once
    for length in range(41):
        items = [n * 17 % 41 for n in range(41) if n * 17 % 41 < length]
        assert sort_by(items, int) == list(range(length)), length


def test_each_key_is_computed_once():
    calls = []

    def key(item):
        calls.append(item)
        return -item

    assert sort_by(list(range(100)), key) == list(reversed(range(100)))
    assert calls == list(range(100))


def test_the_list_given_is_left_alone():
    items = [3, 1, 2]
    assert sort_by(items, int) == [1, 2, 3]
    assert items == [3, 1, 2]


def test_tuples_as_keys_sort_by_turn_then_device_then_number():
    events = [(2, "b", 1), (1, "b", 9), (2, "a", 3), (2, "a", 2), (1, "a", 10)]
    expected = [(1, "a", 10), (1, "b", 9), (2, "a", 2), (2, "a", 3), (2, "b", 1)]
    assert sort_by(events, tuple) == expected


def test_whole_numbers_beyond_64_bits():
    items = [2**70, -(2**70), 2**53 + 1, 2**53, 0]
    assert sort_by(items, int) == [-(2**70), 0, 2**53, 2**53 + 1, 2**70]


def test_text_sorts_by_code_point_not_by_language():
    assert sort_by(["é", "z", "Z", "a", "東"], str) == ["Z", "a", "z", "é", "東"]


def test_items_themselves_are_never_compared():
    class Bare:
        pass

    one, two = Bare(), Bare()
    assert sort_by([(1, one), (1, two), (0, two)], _first) == [(0, two), (1, one), (1, two)]
