"""A further pack of a supply: what it is called, what it costs, from whom."""

from __future__ import annotations

from app.actions.orders.suppliers import list_suppliers
from app.actions.stock import supply_facts
from app.errors import Mendable
from app.window.house.doingform import DoingForm
from app.window.house.office import Office
from app.window.paper.fields import Choice


class PackForm(DoingForm):
    """Four fields; Enter in any adds the pack that they tell of, and so does leaving them."""

    def __init__(self, office: Office) -> None:
        super().__init__(office, 4)
        self.supply_id = 0  # none is shown yet
        self.label = self.add_line("A further pack", "1 gal, 3 x 32 oz", on_enter=self.take)
        self.price = self.add_line("Price", "38.00", on_enter=self.take)
        self.supplier = Choice(office.theme)
        self.add("From", self.supplier)
        self.code = self.add_line("Code there", "as on their invoice", on_enter=self.take)

    def show_supply(self, supply_id: int) -> None:
        """Another supply: nothing typed for the last one stays; the suppliers as they are now."""
        chosen = self.supplier.value if supply_id == self.supply_id else None
        known = [(one.name, one.supplier_id) for one in list_suppliers(self._office.desk)]
        self.supplier.set_options([("its usual supplier", None), *known])
        self.supplier.choose(chosen)
        if supply_id != self.supply_id:
            self.supply_id = supply_id
            self.drop()

    def take(self) -> None:
        """Add the pack; what cannot be read stays, with its reason."""
        if self.leave():
            self.label.setFocus()

    def leave(self) -> bool:
        """Add the pack that was typed; False where it cannot be read, and stays."""
        if not any(field.text().strip() for _label, field in self.lines()):
            return True
        label, chosen = self.label.text().strip(), self.supplier.value
        if not label:
            self.refuse(
                self.label, Mendable("Say which pack it is, such as 1 gal; it is not saved yet.")
            )
            return False
        try:
            changed, _ = supply_facts.add_pack(
                self._office.desk,
                self.supply_id,
                label,
                self.price.text(),
                supplier_id=chosen if isinstance(chosen, int) else None,
                code=self.code.text(),
            )
        except Mendable as trouble:
            self.refuse(self.price if trouble.field == "price" else self.label, trouble)
            return False
        self.empty()
        self._office.note(changed)
        return True
