from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from buildlog.fields import AmountField, CountField, LayersField, LengthField
from buildlog.units import Layers
from tasks.forms.fields import TaskField
from tasks.models import Build


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("240,38", "240.38"),  # decimal comma
        ("1.168,89", "1168.89"),  # grouped, decimal comma
        ("1,234.50", "1234.50"),  # grouped, decimal point
        ("0.125", "0.125"),  # three decimals after a nought are decimals
    ],
)
def test_amount_field_reads_either_decimal_mark(text, amount):
    assert AmountField().clean(text) == Decimal(amount)


def test_amount_field_asks_rather_than_guess():
    with pytest.raises(ValidationError, match="may be"):
        AmountField().clean("1,250")


@given(st.decimals(min_value=-9_999_999, max_value=9_999_999, places=4))
def test_what_is_shown_for_editing_reads_back_the_same(number):
    field = AmountField()
    assert field.clean(field.prepare_value(number)) == number


def test_amount_field_keeps_the_limits_of_a_decimal_field():
    field = AmountField(min_value=0, max_digits=6, decimal_places=2)
    with pytest.raises(ValidationError, match="greater than or equal to 0"):
        field.clean("-1")
    with pytest.raises(ValidationError, match="decimal places"):
        field.clean("1.2345")


@pytest.fixture
def metric():
    return Build(name="Metric")


@pytest.fixture
def imperial():
    return Build(name="Imperial", length_system=Build.LengthSystem.IMPERIAL)


def length_field(build, kind=LengthField, **options):
    field = kind(**options)
    field.measured_in(build)
    return field


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("18mm", "18"), ("940", "940"), ("1.22 m", "1220"), ('1 3/4"', "44.45"),
        ("4'-6 1/2\"", "1384.3"), ("0.75 in", "19.05"), ("2,48 m", "2480"),
    ],
)  # fmt: skip
def test_length_field_reads_what_builders_write(metric, text, mm):
    assert length_field(metric).clean(text) == Decimal(mm)


def test_a_bare_number_is_in_the_units_of_the_build(metric, imperial):
    assert length_field(metric).clean("12") == 12
    assert length_field(imperial).clean("12") == Decimal("304.8")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("abc", "is not a length"), ("-5", "cannot be negative"), ("1 3/0\"", "0 below the line"),
        ("0", "is no length"), ("5 kg", "Lengths are in"), ("0x9mm", "no layers"),
    ],
)  # fmt: skip
def test_length_field_says_what_is_wrong(metric, text, says):
    with pytest.raises(ValidationError, match=says):
        length_field(metric, LayersField).clean(text)


@pytest.mark.parametrize("text", ["", "   ", None])
def test_an_empty_length_is_none(metric, text):
    assert length_field(metric).clean(text) is None


def test_a_length_that_is_needed_is_asked_for(metric):
    with pytest.raises(ValidationError, match="required"):
        length_field(metric, required=True).clean("")


lengths = st.decimals(min_value="0.000001", max_value=99_999_999, places=6)
inches = st.integers(min_value=1, max_value=64 * 12 * 80).map(lambda n: n * Decimal("0.396875"))


@given(lengths | inches)
@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_a_length_shown_for_editing_reads_back_the_same(system, mm):
    field = length_field(Build(length_system=system))
    assert field.clean(field.prepare_value(mm)) == mm
    assert not field.has_changed(mm, field.prepare_value(mm))


def test_layers_are_read_from_the_thickness(metric):
    field = length_field(metric, LayersField)
    assert field.clean("2x9mm") == Layers(2, Decimal(9))
    assert not field.has_changed(Decimal(9), "9 mm")
    assert field.has_changed(Decimal(9), "2x9mm")


@pytest.mark.parametrize(
    ("text", "count"),
    [("6", (6, False)), ("2 (p+s)", (2, True)), ("3 pairs", (6, True)), (4, (4, False))],
)
def test_counts_are_read_with_their_hand(text, count):
    assert tuple(CountField().clean(text)) == count


@pytest.mark.parametrize("text", ["0", "some", "3 (p+s)", "-1"])
def test_what_is_no_count_is_refused(text):
    with pytest.raises(ValidationError):
        CountField().clean(text)


def task_field(build):
    field = TaskField()
    field.build = build
    return field


@pytest.mark.parametrize("typed", ["F1", "f1", "Cut frames", "F1 Cut frames", " F1  Cut frames "])
def test_a_task_is_found_by_number_or_name(build, make_task, typed):
    task = make_task("F1", name="Cut frames")
    make_task("F10", name="Glue frames")
    assert task_field(build).clean(typed) == task


def test_a_task_that_is_not_there_or_not_the_only_one_is_asked_for(build, make_task):
    make_task("1", name="Sand"), make_task("2", name="Sand")
    with pytest.raises(ValidationError, match="could be 1, 2"):
        task_field(build).clean("sand")
    with pytest.raises(ValidationError, match="no task “Fair”"):
        task_field(build).clean("Fair")


def test_a_task_of_another_build_is_not_found(build, make_task, stranger):
    make_task("1")
    with pytest.raises(ValidationError, match="no task"):
        task_field(stranger.crew_of.get().build).clean("1")
