"""What is remembered of what was made: the last few asked for, never more, each made once."""

from __future__ import annotations

import pytest

from brackets.core.recent import Recent


def test_a_value_is_made_once_and_at_most_so_many_are_held() -> None:
    made: list[str] = []
    held: Recent[str, str] = Recent(2)

    def asked(key: str) -> str:
        return held.made(key, lambda: made.append(key) or key.upper())  # type: ignore[func-returns-value]

    assert [asked(key) for key in "aab"] == ["A", "A", "B"]
    assert made == ["a", "b"]
    asked("a")
    asked("c")
    assert "a" in held, "asked for after b was"
    assert "b" not in held
    assert len(held) == held.most == 2
    assert held.get("a") == "A"
    asked("d")
    assert "a" in held, "looking it up is asking for it"
    assert "c" not in held
    assert held.get("b") is None


def test_what_cannot_be_made_is_not_remembered_and_a_value_can_be_put_in_place_of_another() -> None:
    held: Recent[str, int] = Recent(1)
    with pytest.raises(ZeroDivisionError):
        held.made("a", lambda: 1 // 0)
    assert "a" not in held
    assert held.put("a", 1) == 1
    assert held.put("a", 2) == 2
    assert held.made("a", lambda: 3) == 2
    held.clear()
    assert len(held) == 0
