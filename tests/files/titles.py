"""Titles of jobs as three made-up shops write them, with the layers that a reader in the trade hears.

Written before the reading of titles was. A line is `title :: layers`: each layer its class, with
`@ groups` where it is not on the usual ones; `-` where no layer is left; `?` where the title alone
does not say which, or whether any. What the words mean is common practice, no source. Two were
judged anew: a spray wax may be a wax or a sealant.
"""

from __future__ import annotations

# Short and technical, an American shop of two.
_SHORT = """
Two-step, ceramic 2yr :: ceramic 2 year
1-step + sealant :: synthetic sealant
1-step, ceramic 1 yr :: ceramic 1 year
2-step :: -
One step polish :: -
Full detail :: -
Full detail w/ wax :: carnauba wax
Int/ext :: -
Int :: -
Interior detail :: -
Exterior detail + spray wax :: ?
Wash & wax :: carnauba wax
Wash :: -
Hand wash :: -
Maint wash :: -
Ceramic maintenance wash :: -
Ceramic wash :: -
Ceramic coating :: ?
Cer. 2y :: ceramic 2 year
Cer 5y, wheels and glass :: ?
Ceramic 5yr + wheel coating :: ceramic 5 year, wheel coating
Ceramic 3 year, glass coating :: ceramic 3 year, glass coating
2yr ceramic on paint and wheels :: ceramic 2 year @ paint wheels
3-yr coating :: ceramic 3 year
5-year ceramic coating, 2-step correction :: ceramic 5 year
Ceramic boost :: ?
Ceramic top-up :: ?
Ceramic quote :: -
Ceramic prep :: -
Ceramic removal :: -
Ceramic inspection :: -
Annual ceramic check :: -
Clay, polish, wax :: carnauba wax
Clay & sealant :: synthetic sealant
Decon wash + clay :: -
Iron decon :: -
Headlight restoration :: -
Headlights x2 :: -
Engine bay :: -
Paint correction :: -
2 stage correction, sealant :: synthetic sealant
3 step + ceramic 5 yr :: ceramic 5 year
PPF front :: -
PPF + ceramic 5 year :: ceramic 5 year
Window tint :: -
Leather clean & condition :: -
Leather protection :: leather protectant
Leather coating :: leather protectant
Fabric guard :: fabric protector
Carpet shampoo :: -
Pet hair removal :: -
Odor removal :: -
Ozone :: -
Tire shine :: tire dressing
Wheels off :: -
Wheel coating :: wheel coating
Glass coat :: glass coating
Windshield coating :: glass coating @ front glass
Rain repellent :: glass coating
Trim coating :: trim coating
Trim restore :: -
As discussed :: ?
Same as last time :: ?
See notes :: ?
Touch up :: -
Gold package :: ?
Spring special :: ?
Redo hood :: ?
Hood only ceramic 2yr :: ceramic 2 year @ upper horizontals
Ceramic 10 year :: ?
24 mo ceramic :: ceramic 2 year
Ceramic 12 month :: ceramic 1 year
"""

# Longer, a British valeter alone with a van.
_VALETER = """
Full valet :: -
Mini valet :: -
Full valet inc. wax :: carnauba wax
Full valet including hand wax :: carnauba wax
Full valet + sealant :: synthetic sealant
Interior valet :: -
Exterior valet, carnauba wax :: carnauba wax
Wash & vac :: -
Wash and leather :: ?
Safe wash :: -
Maintenance wash (coated car) :: -
Maintenance valet :: -
Deep clean interior :: -
Wet vac seats :: -
Seats shampooed :: -
Machine polish, single stage :: -
Single stage machine polish and sealant :: synthetic sealant
Two stage machine polish, 3yr ceramic :: ceramic 3 year
Enhancement polish & 2 year ceramic coating :: ceramic 2 year
New car protection :: ?
New car prep, ceramic 5 year :: ceramic 5 year
New car detail and five year ceramic coating :: ceramic 5 year
Ceramic 3 yrs with alloys and glass :: ?
Ceramic coating 2 years paint, alloys :: ?
Alloys ceramic coated :: wheel coating
Alloy wheel coating :: wheel coating
Alloys sealed :: ?
Windscreen coating :: glass coating @ front glass
Windscreen treatment :: glass coating @ front glass
All glass coated :: glass coating
Soft top clean and protect :: fabric protector
Soft top clean :: -
Leather clean, feed and protect :: leather protectant
Leather feed :: -
Upholstery protection :: fabric protector
Carpets & upholstery guard :: fabric protector
Tyre dressing :: tire dressing
Tyres dressed :: tire dressing
Full valet, tyres dressed, wax :: carnauba wax, tire dressing
Wax :: carnauba wax
Wax top up :: ?
Sealant refresh :: ?
Polish & wax :: carnauba wax
Polish and seal :: synthetic sealant
Hand polish :: -
Snow foam & wash :: -
Decontamination wash, clay, sealant :: synthetic sealant
Clay bar and polish :: -
Tar removal :: -
Fallout removal :: -
Bird lime etching :: -
Engine bay clean :: -
Odour treatment :: -
Pet hair :: -
Pre-sale valet :: -
Show prep and wax :: carnauba wax
No wax, just wash :: -
Wash, no wax this time :: -
Ceramic? :: ?
Ceramic or sealant :: ?
Ceramic coating - customer declined :: -
Ceramic coating enquiry :: -
Ceramic coating deposit :: -
Ceramic aftercare wash :: -
Coating inspection yr 1 :: -
Coating top-up annual :: ?
Warranty check 5 year ceramic :: -
Gift voucher valet :: -
Scratch on door :: -
Caravan wash :: -
Motorhome wash and wax :: carnauba wax
Headlamp restoration :: -
"""

# Whole phrases, as a desk with many hands types them.
_DESK = """
Full interior and exterior detail :: -
Full interior and exterior detail with carnauba wax :: carnauba wax
Complete detail, SUV :: -
Complete detail, large SUV, paint sealant :: synthetic sealant
Express detail :: -
Express wash and spray sealant :: spray sealant
Interior deep clean with leather conditioning :: -
Interior detail, leather and fabric protection :: leather protectant, fabric protector
Exterior wash, clay bar and hand wax :: carnauba wax
One-stage paint correction and one-year ceramic coating :: ceramic 1 year
One-stage paint correction with 2-year ceramic coating :: ceramic 2 year
Multi-stage paint correction, 5-year ceramic coating :: ceramic 5 year
Two-stage correction; ceramic coating (3 year); wheel coating :: ceramic 3 year, wheel coating
Ceramic coating 2 year - sedan :: ceramic 2 year
Ceramic coating 2 year - truck :: ceramic 2 year
Ceramic coating, 1 year :: ceramic 1 year
Ceramic coating for wheels :: wheel coating
Ceramic coating for glass :: glass coating
Ceramic coating for windshield :: glass coating @ front glass
Ceramic coating wheels + windshield :: wheel coating, glass coating @ front glass
Ceramic coating on trim :: trim coating
Ceramic coating on leather :: leather protectant
Ceramic spray sealant :: spray sealant
Ceramic spray :: spray sealant
SiO2 spray :: spray sealant
Ceramic wax :: ?
Graphene coating :: ?
Graphene coating 3 year :: ?
Paint protection :: ?
Paint protection film, front bumper :: -
Paint sealant 6 months :: synthetic sealant
Polymer sealant :: synthetic sealant
Synthetic sealant and glass coating :: synthetic sealant, glass coating
Carnauba paste wax :: carnauba wax
Liquid wax :: carnauba wax
Wax removal :: -
Strip wash :: -
Strip wash and new sealant :: synthetic sealant
Compound and polish :: -
Cut and polish :: -
Cut, polish and wax :: carnauba wax
Buff and wax :: carnauba wax
Wet sanding :: -
Headlight restoration with sealant :: ?
Headlight restoration and ceramic coating 2 year :: ?
Engine detail :: -
Carpet extraction :: -
Steam cleaning :: -
Smoke odor removal :: -
Mold remediation :: -
Vacuum only :: -
Wash and vacuum :: -
Fleet wash :: -
Weekly wash :: -
Bi-weekly maintenance wash :: -
Monthly maintenance, coated vehicle :: -
Coated vehicle wash :: -
Wash for ceramic-coated vehicle :: -
Ceramic coating touch-up on hood :: ?
Ceramic coating warranty visit :: -
Ceramic coating maintenance, year 2 :: -
Ceramic coating second layer :: ?
Ceramic 2 year reapplied :: ceramic 2 year
Estimate for 5 year ceramic :: -
Consultation :: -
Pick up and delivery :: -
Insurance claim wash :: -
Overspray removal :: -
Sap removal :: -
Water spot removal and sealant :: synthetic sealant
Water spot removal on glass :: -
Polish glass, apply glass coating :: glass coating
Apply 2-year ceramic coating to paint and wheels :: ceramic 2 year @ paint wheels
Applied carnauba wax :: carnauba wax
"""

# Written after the reading, to mislead it; four of them did.
_HARD = """
Wax off and reseal :: ?
Sealed headlights :: ?
Seal sunroof leak :: -
Seal :: ?
Leather seat repair :: -
Ceramic tint :: -
Ceramic window tint :: -
Ceramic window film :: -
Ceramic brakes clean :: -
Ceramic pads dusty wheels clean :: -
Nano ceramic tint, all windows :: -
Coat hooks fitted :: -
Coat of wax :: carnauba wax
2 coats wax :: carnauba wax
Two coats ceramic 2yr :: ceramic 2 year
Wax 2yr :: ?
Glass polish & coat :: ?
Polish wheels and coat :: ?
Wheels and glass ceramic :: wheel coating, glass coating
Tires and trim dressing :: ?
Trim dressing :: ?
Ceramic 1yr to 2yr upgrade :: ?
Upgrade to 5yr ceramic :: ?
Ceramic 5yr, 1st of 2 visits :: ?
Ceramic day 1 :: ?
Ceramic day 2, 2 year :: ?
2 year ceramic day 1 :: ?
Ceramic 2yr (wheels only) :: ?
Ceramic 2yr wheels only :: wheel coating
Roof only sealant :: synthetic sealant @ upper horizontals
Ceramic hood and roof, 2yr :: ceramic 2 year @ upper horizontals
Ceramic full car 3y :: ceramic 3 year
Full car ceramic incl. wheels 3yr :: ?
Wash, wax, vac :: carnauba wax
Wash wax vac :: carnauba wax
W/W/V :: ?
Vac & wipe :: -
Hand wax over ceramic :: ?
Wax over sealant :: ?
Sealant topped with wax :: ?
Clay/seal/wax :: synthetic sealant, carnauba wax
AIO polish :: ?
All in one polish and wax :: ?
Cleaner wax :: ?
Wash and wax shampoo :: ?
Wax shampoo :: ?
Snow foam with wax :: ?
Dry wax :: ?
Spray wax on wheels :: ?
Quick detail spray :: ?
Waterless wash & wax :: ?
Rinseless wash :: -
Ceramic coating cleaner :: -
Ceramic coating care kit sold :: -
Shop: ceramic training :: -
Ceramic for 2 year old car :: ?
2yr old car ceramic :: ?
2 year anniversary ceramic wash :: -
Ceramic 2yr x2 cars :: ?
Ceramic 2yr both cars :: ?
2 years protection :: ?
5yr paint protection :: ?
Fabric and leather 1yr :: ?
Leather 2 year :: ?
Windscreen :: ?
Windscreen chip :: -
Windshield wax :: ?
Window wax removal :: -
Coat windows :: glass coating
Coat rims :: wheel coating
Seal paint :: synthetic sealant
Seal and protect :: ?
Protect seats :: ?
Polish + protect :: ?
Full protection package :: ?
Sealant paid last time :: ?
Wax free of charge :: carnauba wax
Free wax :: carnauba wax
Wax voucher :: ?
Wax (gift) :: ?
Wax half only :: ?
Wax hood :: carnauba wax @ upper horizontals
Ceramic 2 yr done :: ceramic 2 year
Ceramic 2 yr - to do :: ?
Ceramic 2yr tomorrow :: ?
Ceramic 2yr unfinished :: ?
Finish ceramic 2yr :: ?
Start ceramic 2yr :: ?
Buff ceramic 2yr :: ?
Polish off ceramic 2yr :: ?
Cut back 2yr ceramic :: ?
Correction of 2yr ceramic :: ?
Paint correction ceramic 2yr :: ceramic 2 year
Interior & wax :: carnauba wax
Interior ceramic :: ?
Interior protection :: ?
Exterior protection :: ?
Exterior ceramic 2yr :: ceramic 2 year
Ceramic 2 year exterior + interior detail :: ceramic 2 year
Detail :: ?
Valet :: ?
Machine polish 1yr ceramic :: ceramic 1 year
Polish 2yr ceramic :: ?
"""


def titles() -> list[tuple[str, str]]:
    """Each title of the three shops with its layers."""
    return read_list(f"{_SHORT}{_VALETER}{_DESK}")


def hard_titles() -> list[tuple[str, str]]:
    """Titles that mislead, with their layers."""
    return read_list(_HARD)


def read_list(text: str) -> list[tuple[str, str]]:
    """Lines of `title :: layers`."""
    parts = [line.partition(" :: ") for line in text.splitlines() if line]
    return [(title, layers) for title, _, layers in parts]
