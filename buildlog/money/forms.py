from __future__ import annotations

from decimal import Decimal

from django import forms

from buildlog.fields import AmountField
from buildlog.money.models import Budget, StandingCost
from tasks.forms.fields import TwoTabsForm


class StandingCostForm(TwoTabsForm):
    a_month = AmountField(label="A month", min_value=Decimal(0), max_digits=14, decimal_places=4)

    class Meta:
        model = StandingCost
        fields = ["name", "a_month", "first", "last"]
        widgets = {
            name: forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
            for name in ("first", "last")
        }
        help_texts = {"name": "Rent, insurance, heat, the loan of a machine."}

    def save(self, commit: bool = True) -> StandingCost:
        """Save it; a new one that stands there already, as after a second click, is found."""
        row = self.instance
        if row.pk is None:
            known = StandingCost.objects.filter(
                build=row.build, name=row.name, a_month=row.a_month, first=row.first, last=row.last
            ).first()
            if known:
                return known
        return super().save(commit)


class BudgetForm(TwoTabsForm):
    contingency_percent = AmountField(
        label="For what is not foreseen, %",
        min_value=Decimal(0),
        max_value=Decimal(500),
        max_digits=6,
        decimal_places=3,
        help_text="Of what is still to be bought.",
    )

    class Meta:
        model = Budget
        fields = ["contingency_percent"]
