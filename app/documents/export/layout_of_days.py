"""The sheets of what happened: orders, stock, layers, reminders, days.

As `layout` reads them: kind, title and key of a sheet, then its columns.
"""

DAYS = """
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
