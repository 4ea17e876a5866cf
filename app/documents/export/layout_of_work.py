"""The sheets of work and its money: services, jobs, tax, invoices, expenses, estimates.

As `layout` reads them: kind, title and key of a sheet, then its columns.
"""

WORK = """
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
"""
