"""The sheets of the shop itself: settings, people, vehicles, suppliers and supplies.

As `layout` reads them: kind, title and key of a sheet, then its columns.
"""

SHOP = """
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
"""
