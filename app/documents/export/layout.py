"""The sheets of a full export: one for each kind of record, with every column written exactly.

A person can read and change them; the program brings them in again without loss. The order of the
sheets is such that a row only points to rows of sheets before it, or of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

# 1 said in remarks what receipts and the stock ledger have columns for; 2 had one rate of tax among
# the settings, and services taxed or not.
VERSION = 3
ABOUT = "About"
LONG_TEXTS = "Long texts"

# How a value is written in a cell:
#   text, whole, yes, day, moment (UTC, ISO 8601), money (in the currency's units),
#   amount (mL, g or pieces; three decimals are the base unit), thousandths (three decimals),
#   list (items with semicolons between), json (any value), key:kind (the key of a row there).


@dataclass(frozen=True, slots=True)
class Field:
    """A column: the record's own name for it, its heading, how it is written, a note."""

    name: str
    heading: str
    form: str
    note: str = ""

    @property
    def points_to(self) -> str:
        """The kind that a key points to, or ""."""
        return self.form.partition(":")[2]


@dataclass(frozen=True, slots=True)
class SheetLayout:
    """A sheet: the kind of record, its title, its columns; `numbered` when it has a column Key."""

    kind: str
    title: str
    numbered: bool
    fields: tuple[Field, ...]

    def field(self, name: str) -> Field:
        return next(field for field in self.fields if field.name == name)


_TABLE = """
settings | Settings | by name
  name: Setting, text
  value: Value, json

customers | Customers | numbered
  name: Name, text
  is_firm: Firm, yes
  household: Household, text, The same word for people who get one message together.
  phone: Phone, text
  phone_as_typed: Phone as typed, text
  second_phone: Second phone, text
  email: Email, text
  email_bad_since: Email bad since, day
  street: Street, text
  city: City, text
  region: State, text
  postal_code: Zip, text
  country: Country, text
  address_bad_since: Address bad since, day
  asks_by: Prefers, text, letter, mail, phone or text.
  may_remind: May remind, yes
  stopped_on: Stopped on, day, The day on which they asked not to be written to.
  later_until: Later until, day
  not_before: Not before, day
  season_months: Months to write in, json, Months by number; [10, 11] is October and November.
  season_title: Season, text
  deceased: Deceased, yes
  referred_by_id: Referred by, key:customers
  payer_id: Payer key, key:customers, Who pays for their jobs.
  terms_days: Days to pay, whole, Empty for the shop's own.
  tax_exempt_no: Tax exemption no., text
  tax_exempt_until: Exempt until, day
  notes: Notes, text
  since: Customer since, day
  archived_on: Archived on, day, Kept for its history; shown only when asked for by name.

consents | Consents | numbered
  customer_id: Customer key, key:customers
  channel: Channel, text, mail, letter, phone or text.
  purpose: Purpose, text, care, reminders or offers.
  wording: Wording, text, What they agreed to, as it read.
  how: How, text
  day: Day, day
  by: Taken by, text
  withdrawn_on: Withdrawn on, day

vehicles | Vehicles | numbered
  description: Vehicle, text
  year: Year, whole
  make: Make, text
  model: Model, text
  color: Color, text
  plate: Plate, text
  plate_region: Plate state, text
  vin: VIN, text
  fleet_unit: Fleet unit, text
  size_outside: Size outside, text, S, M, L or XL.
  size_inside: Size inside, text, S, M, L or XL.
  exposure: Exposure, json
  lease_ends: Lease ends, day
  stored_until: Stored until, day
  notes: Vehicle notes, text
  archived_on: Archived on, day, Kept for its history; no letters about it.

owner_links | Owners | numbered
  vehicle_id: Vehicle key, key:vehicles
  customer_id: Customer key, key:customers
  from_day: From, day
  to_day: Until, day

suppliers | Suppliers | numbered
  name: Supplier, text
  email: Email, text
  phone: Phone, text
  address: Address, text
  account_no: Account no., text
  promised_days: Lead time in days, whole
  freight: Freight, money
  free_freight_from: Free freight from, money
  minimum_order: Minimum order, money
  hazard_fee: Hazard fee, money
  order_weekdays: Order weekdays, text, 0 is Monday; 0,3 is Monday and Thursday.
  use_tax_rate: Use tax in percent, thousandths, Where they sell without tax.
  notes: Notes, text

supplier_dates | Announced days | numbered
  supplier_id: Supplier key, key:suppliers
  kind: Kind, text, sale; or cold: nothing is sent that must not freeze.
  first_day: From, day
  last_day: To, day
  yearly: Each year, yes
  note: Note, text

supplies | Supplies | numbered
  name: Supply, text
  kind: Measured as, text, liquid, paste or piece.
  show_unit: Shown in, text
  density: Density in g/mL, thousandths
  dilution: Parts water to one, thousandths, Empty when it is used neat.
  bottle: Bottle in mL, amount
  tare: Empty weight in g, amount
  costing: Costing, text, average or lot.
  whole_container: Whole container, yes
  shelf_life_days: Shelf life in days, whole
  opened_life_days: Opened life in days, whole
  shelf_place: Shelf place, text
  supplier_id: Supplier key, key:suppliers
  stopped: Stopped, yes
  archived_on: Archived on, day, Kept for its history; shown only when asked for by name.
  no_frost: Must not freeze, yes
  protection: Protection class, text
  life_low_days: Lasts from days, whole
  life_high_days: Lasts to days, whole
  wait_next_hours: Hours to the next layer, whole
  wait_water_hours: Hours to first water, whole
  least_temperature: Least temperature to cure, whole, Tenths of a degree Celsius.
  signal_word: Signal word, text
  hazard_statements: Hazard statements, list
  pictograms: Pictograms, list
  ingredients: Ingredients, list
  flammable: Flammable, yes
  sds_file: Safety data sheet, text
  sds_date: Sheet of, day
  pool: Pool, text, paint, interior or wheels; empty for what is used up.
  pool_load: Pieces in a load, whole
  pool_uses: Uses in a life, whole
  notes: Notes, text

packs | Packs | numbered
  supply_id: Supply key, key:supplies
  supplier_id: Supplier key, key:suppliers
  label: Pack, text
  size: Holds, amount, mL, g or pieces.
  price: Price, money
  weight: Weight in g, amount
  code: Code, text
  priced_on: Price of, day

pack_breaks | Price breaks | numbered
  pack_id: Pack key, key:packs
  packs: From so many, whole
  price: Price of one, money

lots | Lots | numbered
  supply_id: Supply key, key:supplies
  code: Lot, text
  received_on: Received on, day
  expires_on: Expires on, day
  opened_on: Opened on, day
  finished_on: Finished on, day

services | Services | numbered
  name: Service, text
  outside: Outside, yes
  minutes: Minutes, whole
  price: Price, money
  tax_kind: Kind of line for tax, text, Empty: no tax.
  in_bay: In the bay, yes, Else it is done outside.
  stopped: Stopped, yes
  notes: Notes, text

service_steps | Service steps | numbered
  service_id: Service key, key:services
  position: Position, whole
  name: Step, text
  minutes: Minutes, whole, None in any step: all take as long.
  hold: Stands after it, text, cures, dries, or empty: as the supply asks.
  hold_minutes: Minutes that it stands, whole
  effect: Effect, text, applies, strips, abrades or nothing.
  supply_id: Supply key, key:supplies
  surface_groups: Surfaces, list

recipe_lines | Recipes | numbered
  service_id: Service key, key:services
  supply_id: Supply key, key:supplies
  scaling: Grows with, text, fixed, size, size_condition, layer or container.
  amount: Amount, amount, mL, g or pieces.

jobs | Jobs | numbered
  number: Job no., whole
  vehicle_id: Vehicle key, key:vehicles
  customer_id: Customer key, key:customers
  payer_id: Payer key, key:customers, Empty for whoever pays for the customer.
  title: Title, text
  state: State, text, enquiry, booked, working, done or cancelled.
  condition: Condition, text, kept, average, neglected or extreme.
  asked_on: Asked on, day
  wanted: Wanted, text, When, as they said it.
  booked_on: Booked on, day
  first_day: First day, day
  last_day: Last day, day
  begins_at: Begins at, moment, Where it was agreed to the minute.
  promised_at: Promised, moment
  place: Done at, text, bay, outside, yard, or empty: as its services say.
  travel_minutes: Minutes there and back, whole
  done_on: Done on, day
  expected_minutes: Expected minutes, whole
  drift_reason: Why it took longer, text
  order_number: Their order number, text
  tax_place: Place for tax, text, Empty: the shop’s own.
  came_to_nothing: Came to nothing, yes, An enquiry that ended without a booking.
  ended_because: Why it was called off or came to nothing, text
  notes: Notes, text

job_services | Job services | numbered
  job_id: Job key, key:jobs
  service_id: Service key, key:services
  layers: Layers, whole

job_steps | Job steps | numbered
  job_id: Job key, key:jobs
  position: Position, whole
  name: Step, text
  state: State, text, to do, done or not done.
  because: Because, text
  day: Day, day
  minutes: Minutes, whole
  hold: Stands after it, text
  hold_minutes: Minutes that it stands, whole
  effect: Effect, text
  supply_id: Supply key, key:supplies
  surface_groups: Surfaces, list

job_moves | Job moves | numbered
  job_id: Job key, key:jobs
  day: Day, day
  at: Written at, moment
  kind: Kind, text, moved, late or no show.
  asked_by: Asked by, text, customer, shop or nobody said.
  before: Was to begin, moment
  after: Begins, moment
  minutes: Minutes late, whole
  note: Note, text

hours | Hours | numbered
  day: Day, day
  job_id: Job key, key:jobs
  minutes: Minutes, whole
  expected: Expected minutes, whole
  state: State, text, confirmed or expected.
  typed: As typed, text
  what: What, text

uses | Uses | numbered
  day: Day, day
  job_id: Job key, key:jobs
  supply_id: Supply key, key:supplies
  quantity: Quantity, amount, mL, g or pieces.
  expected: Expected, amount
  recipe: From the recipe, amount
  state: State, text, confirmed, recipe or unrecorded.
  typed: As typed, text
  weight_before: Weight before in g, amount, On the scale, with the container.
  weight_after: Weight after in g, amount
  weighed_at: Weighed at, moment
  booked: Booked, yes
  cost: Cost, money

charges | Charges | numbered
  job_id: Job key, key:jobs
  position: Position, whole
  text: Charge, text
  amount: Amount, money, Before tax; a discount is negative.
  tax_rate: Tax rate in percent, thousandths
  tax_kind: Kind of line for tax, text
  minutes: Minutes, whole, Where it is charged by time.
  hour_rate: Rate an hour, money
  service_id: Service key, key:services

tax_rates | Tax rates | numbered
  kind: Kind of line, text
  place: Place, text, Empty: the shop’s own.
  rate: Tax rate in percent, thousandths
  from_day: From, day
  words: As printed, text

filings | Filings | numbered
  first_day: First day, day
  last_day: Last day, day
  filed_on: Filed on, day
  at: Written at, moment
  figures: As filed, json, In minor units.
  unlocked_on: Unlocked on, day
  unlocked_because: Why unlocked, text

receipts | Receipts | numbered
  job_id: Job key, key:jobs
  customer_id: Customer key, key:customers
  day: Day, day
  at: Written at, moment
  amount: Amount, money
  method: Method, text, cash, check, card or transfer.
  kind: Kind, text, payment, deposit, refund, tip, credit or reversed.
  state: State, text, confirmed; or expected: nobody said that it came.
  counters_id: Takes back, key:receipts
  note: Note, text

invoices | Invoices | numbered
  kind: Kind, text, invoice or credit.
  year: Year, whole
  number: Number, whole, Counted from 1 in each year of each kind.
  issued_on: Issued on, day
  at: Issued at, moment
  payer_id: Payer key, key:customers
  payer_name: Payer, text, As printed.
  payer_address: Address, text, As printed.
  credits_id: Credits, key:invoices
  reason: Why credited, text
  order_number: Their order number, text
  terms_days: Days to pay, whole
  due_on: Due on, day
  currency: Currency, text
  tax_rule: Tax rounded on, text, total or line.
  tax_text: Why no tax, text
  net: Before tax, money
  tax: Tax, money
  gross: Comes to, money

invoice_lines | Invoice lines | numbered
  invoice_id: Invoice key, key:invoices
  position: Position, whole
  job_id: Job key, key:jobs
  charge_id: Charge key, key:charges
  credits_line_id: Credits line, key:invoice_lines
  text: Line, text
  amount: Amount, money, Before tax.
  tax_rate: Tax rate in percent, thousandths
  tax_letter: Letter of the tax, text
  minutes: Minutes, whole, Where it is charged by time.
  hour_rate: Rate an hour, money
  tax: Tax it carries, money

invoice_taxes | Invoice taxes | numbered
  invoice_id: Invoice key, key:invoices
  letter: Letter, text
  rate: Tax rate in percent, thousandths
  words: As printed, text
  net: On, money
  tax: Tax, money

invoice_words | Invoice words | numbered
  invoice_id: Invoice key, key:invoices
  day: Day, day
  at: Written at, moment
  kind: Kind, text, sent, asked, promised, disputed or settled.
  how: How, text, mail, letter, phone or paper.
  until: Promised day, day
  text: As written, text, Of a letter or mail.
  note: Note, text

repeats | Repeating expenses | numbered
  kind: Kind, text
  text: Text, text
  amount: Amount, money
  tax: Tax in it, money
  method: Paid by, text
  every: Every, text, month or year.
  from_day: From, day
  until: Until, day

expenses | Expenses | numbered
  day: Day, day
  at: Written at, moment
  kind: Kind, text, What for; tips, tax and till are no cost.
  text: Text, text
  amount: Amount, money, With its tax; below zero came back.
  tax: Tax in it, money
  use_tax_rate: Use tax in percent, thousandths, Of goods bought without tax.
  method: Paid by, text
  repeat_id: Repeating key, key:repeats
  period: For the time from, day
  counters_id: Takes back, key:expenses
  note: Note, text

photos | Photos | numbered
  sha256: SHA-256, text, Its file lies beside the export under this name.
  size: Size in bytes, whole
  form: Form, text, jpeg, png or webp.
  name: File, text
  day: Day, day
  at: Written at, moment
  expense_id: Expense key, key:expenses

estimates | Estimates | numbered
  job_id: Job key, key:jobs
  version: Version, whole
  made_on: Made on, day
  at: Written at, moment
  state: State, text, draft, given or approved.
  low_minutes: Low minutes, whole
  minutes: Likely minutes, whole
  high_minutes: Most minutes, whole
  low: Low, money, With its tax, as the next two.
  likely: Likely, money
  high: Not above, money
  tax_rule: Tax rounded on, text, total or line.
  valid_until: Stands until, day
  reason: Why it is a range, text
  assumptions: Taken as given, text
  not_included: Not in this price, text
  left_alone: Left alone, text
  deposit: Deposit asked, money
  given_on: Given on, day
  hour_rate: Rate an hour, money, As given; so the next three.
  name: For, text
  address: Address, text
  vehicle: Vehicle, text
  approved_on: Approved on, day
  approved_at: Approved at, moment
  approved_by: Approved by, text
  approved_how: Approved how, text, phone, mail, text, in person or signed.
  ceiling: Approved up to, money

estimate_lines | Estimate lines | numbered
  estimate_id: Estimate key, key:estimates
  position: Position, whole
  text: Line, text
  low_minutes: Low minutes, whole
  minutes: Likely minutes, whole
  high_minutes: Most minutes, whole
  low: Low, money, Before tax, as the next two.
  likely: Likely, money
  high: Not above, money
  tax_rate: Tax rate in percent, thousandths
  tax_kind: Kind of line for tax, text
  proposed: Filled in, yes, Neither taken nor changed yet.
  service_id: Service key, key:services

hold_points | Hold points | numbered
  estimate_id: Estimate key, key:estimates
  position: Position, whole
  text: Where the work waits, text
  answer: Answer, text
  answered_on: Answered on, day
  answered_at: Answered at, moment
  channel: By, text, phone, mail, text, in person or signed.

estimate_calls | Estimate calls | numbered
  estimate_id: Estimate key, key:estimates
  day: Day, day
  at: Written at, moment
  who: Spoken with, text
  said: What was said, text
  reached: It came to, money
  ceiling: New ceiling, money

orders | Orders | numbered
  number: Order no., whole
  supplier_id: Supplier key, key:suppliers
  day: Day, day
  state: State, text, written, sent, part, received or cancelled.
  expected_on: Expected on, day
  received_on: Received on, day
  freight: Freight, money
  note: Note, text

order_lines | Order lines | numbered
  order_id: Order key, key:orders
  supply_id: Supply key, key:supplies
  pack_id: Pack key, key:packs
  pack_label: Pack, text
  pack_size: Holds, amount
  packs: Packs, whole
  packs_received: Packs received, whole
  packs_damaged: Packs damaged, whole, Came, and were not taken in.
  damaged_on: Damaged on, day
  price: Price, money
  reason: Reason, text

order_choices | Order choices | numbered
  day: Day, day
  supply_id: Supply key, key:supplies
  pack_id: Pack key, key:packs
  packs: Packs, whole

movements | Stock ledger | numbered
  supply_id: Supply key, key:supplies
  day: Day, day
  at: Written at, moment
  kind: Kind, text, received, used, counted, wasted, returned, opened, expired or reversed.
  quantity: Quantity, amount, In is positive; mL, g or pieces.
  value: Value, money
  physical: Physical count, yes, A person counted what stands there.
  weight: Weight in g, amount, On the scale, with the container.
  use_tax_rate: Use tax in percent, thousandths, Of a delivery bought without tax.
  lot_id: Lot key, key:lots
  job_id: Job key, key:jobs
  use_id: Use key, key:uses
  order_line_id: Order line key, key:order_lines
  counters_id: Takes back, key:movements
  note: Note, text

pool_events | Pools | numbered
  supply_id: Supply key, key:supplies
  day: Day, day
  at: Written at, moment
  kind: Kind, text, added, set out, washed, demoted, retired, returned, lost, found or reversed.
  source: From, text
  target: To, text
  pieces: Pieces, whole
  loads: Loads, whole
  use_id: Use key, key:uses
  movement_id: Stock line key, key:movements
  counters_id: Takes back, key:pool_events
  note: Note, text

layer_events | Layers | numbered
  vehicle_id: Vehicle key, key:vehicles
  job_id: Job key, key:jobs
  step_id: Step key, key:job_steps
  day: Day, day
  at: Written at, moment
  kind: Kind, text, applied, stripped, abraded or reversed.
  surface_group: Surface group, text
  supply_id: Supply key, key:supplies
  counters_id: Takes back, key:layer_events
  note: Note, text

judgements | Judgements | numbered
  vehicle_id: Vehicle key, key:vehicles
  layer_event_id: Layer key, key:layer_events
  job_id: Job key, key:jobs
  day: Day, day
  surface_group: Surface group, text
  before: Before decontamination, text
  after: After decontamination, text
  note: Note, text

reminders | Reminders | numbered
  customer_id: Customer key, key:customers
  day: Day, day
  channel: Channel, text
  state: State, text
  subject: Subject, text
  text: Text, text
  reason: Reason, text
  sent_on: Sent on, day
  answer: Answer, text
  answered_on: Answered on, day
  uid: Identifier, text

reminder_items | Reminded layers | numbered
  reminder_id: Reminder key, key:reminders
  vehicle_id: Vehicle key, key:vehicles
  layer_event_id: Layer key, key:layer_events

reminder_events | Reminder events | numbered
  reminder_id: Reminder key, key:reminders
  day: Day, day
  at: Written at, moment
  kind: Kind, text
  counters_id: Takes back, key:reminder_events
  note: Note, text

days | Days | by name
  day: Day, day
  page: Page, whole
  state: State, text, open or closed.
  stations: Stations confirmed, list
  opened_at: Opened at, moment
  closed_at: Closed at, moment
  seconds: Seconds, whole
  times_closed: Times closed, whole
  summary: Summary, text
  cash_counted: Cash counted, money, What lay in the till at the day's end.
  driven: Driven in m, whole, For the shop.

weather | Weather | by name
  day: Day, day
  holds_outside: No work outside, yes
  low: Low of the night, whole, Tenths of a degree Celsius.
  note: Note, text
"""


def _layouts() -> tuple[SheetLayout, ...]:
    layouts = []
    for block in _TABLE.strip().split("\n\n"):
        head, *lines = block.splitlines()
        kind, title, keyed = (part.strip() for part in head.split("|"))
        fields = []
        for line in lines:
            name, _, rest = line.strip().partition(": ")
            heading, form, note = (*(part.strip() for part in rest.split(", ", 2)), "")[:3]
            fields.append(Field(name, heading, form, note))
        layouts.append(SheetLayout(kind, title, keyed == "numbered", tuple(fields)))
    return tuple(layouts)


SHEETS: tuple[SheetLayout, ...] = _layouts()
BY_KIND: dict[str, SheetLayout] = {layout.kind: layout for layout in SHEETS}
BY_TITLE: dict[str, SheetLayout] = {layout.title.casefold(): layout for layout in SHEETS}

# Columns that exports of before had, still read.
OLDER: dict[str, tuple[Field, ...]] = {"services": (Field("taxed", "Taxed", "yes"),)}
