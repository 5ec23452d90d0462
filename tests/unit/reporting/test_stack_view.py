from fitsolver.records.base import Range
from fitsolver.records.figures import Figures
from fitsolver.records.plan import CompressionRatio, Fit, PortOpening, StackEffect
from fitsolver.reporting.stack_view import stack_rows

MM = Figures("mm")
RATIO = CompressionRatio(least=10_616, most=10_683, least_before=10_728, most_before=10_729)
PORT = PortOpening(
    port="exhaust", least=94_123, most=94_187, before=94_301, shift_least=-178, shift_most=-114
)
STACK = StackEffect(
    deck=Range(low=44_001, high=45_950), deck_before=40_000, ports=(PORT,), ratio=RATIO
)


def test_everything_is_rounded_outwards() -> None:
    assert list(stack_rows(STACK, MM)) == [
        ("crown below top face", "+0.440 to +0.460, was +0.400"),
        (
            "exhaust opens",
            "94.12 to 94.19° after top dead centre, was 94.30° (shift -0.18 to -0.11°)",
        ),
        ("compression ratio", "10.61 to 10.69, was 10.72 to 10.73"),
    ]


def test_what_is_not_known_is_not_said() -> None:
    port = PORT.model_copy(update={"before": None, "shift_least": None, "shift_most": None})
    bare = STACK.model_copy(update={"deck_before": None, "ports": (port,), "ratio": None})
    assert list(stack_rows(bare, MM)) == [
        ("crown below top face", "+0.440 to +0.460"),
        ("exhaust opens", "94.12 to 94.19° after top dead centre"),
    ]
    assert list(stack_rows(None, MM)) == []


def test_no_shift_has_no_sign() -> None:
    port = PORT.model_copy(update={"shift_least": 0, "shift_most": 0})
    rows = dict(stack_rows(STACK.model_copy(update={"ports": (port,)}), MM))
    assert rows["exhaust opens"].endswith("(shift 0.00°)")


def test_both_ends_as_one_figure() -> None:
    ratio = CompressionRatio(least=9_000, most=9_000, least_before=8_000, most_before=8_000)
    rows = dict(stack_rows(STACK.model_copy(update={"ratio": ratio}), MM))
    assert rows["compression ratio"] == "9.00, was 8.00"


def test_windows_are_shown_to_the_thousandth_in_any_unit() -> None:
    timing = Fit(
        fit="port_timing",
        port="exhaust",
        low=88_000,
        high=88_500,
        least=88_214,
        most=88_422,
        slack_low=214,
        slack_high=78,
    )
    cells = ("88.000", "88.500", "88.214", "88.422", "0.214", "0.078")
    assert Figures("mm").fit(timing) == Figures("in").fit(timing) == cells
    open_ended = timing.model_copy(update={"fit": "compression", "high": None, "slack_high": None})
    assert Figures("mm").fit(open_ended)[1::4] == ("-", "-")
