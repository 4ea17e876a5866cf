"""A further pack of a supply: what it is called, what it costs, from whom."""

from __future__ import annotations

from app.actions.orders.suppliers import list_suppliers
from app.actions.stock import supply_facts
from app.errors import Mendable
from app.window.house.office import Office
from app.window.paper.fields import Choice, Form, LineField


class PackForm(Form):
    """Four fields; Enter in any adds the pack that they tell of."""

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, 4)
        self._office = office
        self.supply_id: int | None = None
        self.label = self._line("A further pack", "1 gal, 3 x 32 oz")
        self.price = self._line("Price", "38.00")
        self.supplier = Choice(office.theme, ())
        self.add("From", self.supplier)
        self.code = self._line("Code there", "as on their invoice")

    def _line(self, label: str, hint: str) -> LineField:
        field = LineField(self._office.theme, "", hint)
        field.returnPressed.connect(self.take)
        self.add(label, field)
        return field

    def show_supply(self, supply_id: int) -> None:
        """Another supply: nothing typed for the last one stays; the suppliers as they are now."""
        chosen = self.supplier.value if supply_id == self.supply_id else None
        known = [(one.name, one.supplier_id) for one in list_suppliers(self._office.desk)]
        self.supplier.set_options([("its usual supplier", None), *known])
        self.supplier.choose(chosen)
        if supply_id == self.supply_id:
            return
        self.supply_id = supply_id
        self._empty()

    def _empty(self) -> None:
        for field in (self.label, self.price, self.code):
            field.clear()
            field.set_trouble("")

    def take(self) -> None:
        """Add the pack; what cannot be read stays, with its reason."""
        supply, label = self.supply_id, self.label.text().strip()
        if supply is None:
            return
        if not label:
            self.label.setFocus()
            return
        chosen = self.supplier.value
        try:
            changed, _ = supply_facts.add_pack(
                self._office.desk,
                supply,
                label,
                self.price.text(),
                supplier_id=chosen if isinstance(chosen, int) else None,
                code=self.code.text(),
            )
        except Mendable as trouble:
            wrong = self.price if trouble.field == "price" else self.label
            wrong.set_trouble(trouble.sentence)
            self._office.say_trouble(trouble.sentence)
            return
        self._empty()
        self._office.note(changed)
        self.label.setFocus()
