from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from buildlog.materials.paper_sums import PaperLine, line_sums

nets = st.lists(st.decimals(min_value=0, max_value=100_000, places=4), min_size=1, max_size=12)
coins = st.decimals(min_value=0, max_value=100_000, places=2)


@given(nets=nets, freight=coins, tax=coins)
def test_lines_add_up_to_the_paper(nets, freight, tax):
    sums = line_sums([PaperLine(net) for net in nets], "EUR", freight, tax)
    assert sum(line.paid for line in sums) == sum(nets) + freight + tax


def test_no_lines_come_to_nothing():
    assert line_sums([], "EUR", Decimal(5)) == []


def test_line_sums_keep_a_lines_own_tax_and_add_its_share():
    first, second = line_sums(
        [PaperLine(Decimal(178), Decimal("37.38")), PaperLine(Decimal(64), Decimal("13.44"))],
        "EUR",
        freight=Decimal(25),
    )
    assert first.paid + second.paid == Decimal("317.82")
    assert first.freight == Decimal("18.39")
    assert second.tax == Decimal("13.44")
