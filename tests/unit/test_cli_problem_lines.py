"""What is wrong in many rows alike is said once, and where."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from brakelog.cli.problem_lines import ROWS_NAMED, lines_of
from brakelog.errors import Problem

PROBLEMS = st.builds(
    Problem,
    source=st.one_of(
        st.builds("{}:{}".format, st.sampled_from(("a.csv", "b:7.csv")), st.integers(1, 12)),
        st.sampled_from(("a.csv", "line", "clause 3")),
    ),
    message=st.sampled_from(("empty", "nobody called 'IV' is on file")),
    value=st.sampled_from(("", "x")),
)


def test_rows_with_the_same_problem_share_a_line_and_others_keep_their_own() -> None:
    nobody, typed = "by: nobody called 'IV' is on file", "'274.1': rotor thickness is never that"
    problems = [Problem(source=f"s.csv:{row}", message=nobody) for row in range(2, 42)]
    problems.insert(3, Problem(source="s.csv:4", message=typed))

    assert lines_of(problems) == [
        f"s.csv:2, 3, 4, 5, 6 and 35 more: {nobody}",
        f"s.csv:4: {typed}",
    ]


def test_what_stands_in_no_row_is_said_as_it_is() -> None:
    problems = [
        Problem(source="s.csv", message="column missing"),
        Problem(source="t.csv:3", message="empty", value="x"),
        Problem(source="s.csv:3", message="empty", value="x"),
    ]

    assert lines_of(problems) == list(map(str, problems))


@given(st.lists(PROBLEMS))
def test_every_problem_is_in_one_line_and_few_are_as_they_were(problems: list[Problem]) -> None:
    lines = lines_of(problems)

    kinds = {(each.source.rstrip("0123456789"), each.message, each.value) for each in problems}
    assert len(kinds) <= len(lines) <= len(set(problems))
    for problem in problems:
        assert any(line.endswith(str(problem).split(": ", 1)[1]) for line in lines)
    if len({problem.message + problem.value for problem in problems}) == len(problems):
        assert lines == list(map(str, problems))
    for line in lines:
        assert line.count(", ") < ROWS_NAMED
