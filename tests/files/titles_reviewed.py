"""Titles of four more made-up shops, written by a reviewer who had not seen the reader.

`title :: layers` as in `titles`. Those in `_MISLED` were given a layer that they do not speak of;
those in `_MISSED` were not understood. Common practice, no source.
"""

from __future__ import annotations

from tests.files.titles import read_list

_MISLED = """
Sealant prep wash :: -
Prep wash for sealant :: -
Polish prep for wax :: -
Wash sealant prep :: -
Wash for wax :: -
Sealant wash :: ?
Wax wash :: ?
Sealant decon :: ?
Wax polish :: ?
Sealant/wax :: ?
Interior wax :: ?
Wax interior detail :: ?
Interior ceramic 2yr :: ?
Ceramic window tint 2yr :: -
Engine bay wax :: ?
Engine bay sealant :: ?
Engine bay detail and seal :: ?
Leather clean and seal :: ?
Leather clean, sealant :: ?
Leather conditioning, wax :: ?
Wheel clean & seal :: ?
Wheel clean, wax :: ?
Glass polish and sealant :: ?
Glass polish and 2yr ceramic :: ?
Sealant 2yr :: ?
1 yr wax :: ?
"""

_MISSED = """
Mini valet (£45) :: -
Maintenance wash 1.5 hrs :: -
Safe wash and dry :: -
Winter wash, windscreen rain repellent :: glass coating @ front glass
Full valet incl. engine bay £160 4h :: -
Headlight restoration $80 :: -
Paint correction stage 2, ceramic 36 months :: ceramic 3 year
Wash n wax :: carnauba wax
2stp cer 3y :: ceramic 3 year
1-stp + slnt :: synthetic sealant
ext dtl wx :: carnauba wax
ceramc 2 yr :: ceramic 2 year
two step corection, cermic 2yr :: ceramic 2 year
sealent :: synthetic sealant
cer. 2yr x2 layers :: ceramic 2 year
Ceramic 2yr, two layers :: ceramic 2 year
Ceramic coating 2yr one coat :: ceramic 2 year
"""

# Right before and after: what a careful reader must not lose, and must not take.
_KEPT = """
Full valet, no sealant this time :: -
Sealant topped up only :: ?
Removed old coating, single stage :: -
Old wax stripped, clay, sealant applied :: ?
Full valet - customer declined ceramic :: -
Van: wash & wax. Mini: wash only :: ?
Truck + SUV full details, both waxed :: ?
Refresh of 5yr ceramic :: ?
Detail minus the wax :: -
Detail, skip wax :: -
Deposit for 3yr ceramic :: -
Ceramic 3yr (2nd of 2 coats next week) :: ?
3 year old ceramic, wash :: -
Wash for 3yr ceramic customer :: -
Ceramic 2yr 1st coat :: ?
Ceramic 2yr -> changed to sealant :: ?
was ceramic now wax :: ?
wax instead of sealant :: ?
Bottle of wax sold :: -
Lavado y encerado completo :: ?
Interior & wax :: carnauba wax
Full valet + wax :: carnauba wax
Single stage machine polish, 3 yr ceramic :: ceramic 3 year
"""


def misled() -> list[tuple[str, str]]:
    """Titles that were given a layer without a question, with the layers they leave."""
    return read_list(_MISLED)


def missed() -> list[tuple[str, str]]:
    """Titles that were not understood, with the layers they leave."""
    return read_list(_MISSED)


def kept() -> list[tuple[str, str]]:
    """Titles that were read rightly, or rightly left alone."""
    return read_list(_KEPT)
