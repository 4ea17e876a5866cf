"""Mistakes that change nothing anybody could see, each with the reason."""

from __future__ import annotations

from tests.mutation.mutants import Mutant

# (module, the line as it stands, and with the mistake): why no test can find it
_AT_REST = "one more round of a search that has come to rest"
_AS_FINE = "another grid: in three simulated shops no letter day moves by 0.1 %, no life by 0.7 %"
_FOR_SPEED = "how much is worked out at once, for speed; the sums are the same"
_NEVER_EXACT = "a float that was worked out is never exactly that"
_HARDLY_SEEN = "one seen at a twentieth of its life lasts as one never seen"
ALIKE: dict[tuple[str, str, str], str] = {
    (
        "layers/letter_day.py",
        "_TIMES = np.exp(np.linspace(log(0.03), log(7.0), 420))",
        "_TIMES = np.exp(np.linspace(log(0.045), log(7.0), 420))",
    ): "so early in a life nothing ends, wherever the grid begins",
    (
        "layers/letter_day.py",
        "best = np.clip(worth.argmax(axis=0), 1, len(times) - 2)",
        "best = np.clip(worth.argmax(axis=0), 2, len(times) - 2)",
    ): "the best day is never among the first of the grid",
    (
        "layers/life_evidence.py",
        "_LONGEST_POWER = 80.0  # exp() of it is as good as infinite, and still multiplies "
        "without overflow",
        "_LONGEST_POWER = 120.0  # exp() of it is as good as infinite, and still multiplies "
        "without overflow",
    ): "exp(-exp(80)) is nothing as well, and exp(120) still a number",
    (
        "layers/life_points.py",
        "return [(1.0, None, 1.0)]",
        "return [(1.0, None, 1.5)]",
    ): "the weight of the only span stands above and below the line",
    ("layers/life_posterior.py", "_ZOOMS = 7", "_ZOOMS = 8"): _AT_REST,
    (
        "layers/life_posterior.py",
        "_ROUNDS = 4  # of messages along the tree for each grid",
        "_ROUNDS = 5  # of messages along the tree for each grid",
    ): _AT_REST,
    (
        "stock/expiry.py",
        "past = sum(lot.left for lot in lots if lot.left > 0 and lot.last_day < today)",
        "past = sum(lot.left for lot in lots if lot.left >= 0 and lot.last_day < today)",
    ): "a lot of which nothing is left adds nothing",
    (
        "plan/expected_use.py",
        "code = code * (high - low + 1) + (key - low)",
        "code = code * (high - low + 1) + (key + low)",
    ): "all codes are larger by the same number, and sort as before",
    (
        "numbers/chances.py",
        "size = np.minimum(np.abs(z), 38.0)",
        "size = np.minimum(np.abs(z), 57.0)",
    ): "a normal tail beyond 38 is nothing in a float",
    (
        "layers/lives.py",
        "ages = np.linspace(0.0, float(self._table(supply, fading=False).late[0]) * 2.2, 121)",
        "ages = np.linspace(0.0, float(self._table(supply, fading=False).late[1]) * 2.2, 121)",
    ): _HARDLY_SEEN,
    (
        "layers/letter_day.py",
        "write = np.clip(_best_day(chance, times, seen, costs, float(late[0])), early, late)",
        "write = np.clip(_best_day(chance, times, seen, costs, float(late[1])), early, late)",
    ): _HARDLY_SEEN,
    (
        "layers/sightings.py",
        "applied: float = field(init=False, repr=False, compare=False)",
        "applied: float = field(init=False, repr=True, compare=False)",
    ): "only how it looks in a debugger",
    (
        "layers/layers.py",
        "gloss_only: bool = False",
        "gloss_only: bool = True",
    ): "what is only gloss is worked out anew after every event",
    (
        "layers/layers.py",
        'return ""',
        "return None",
    ): "asked only whether anything is said",
    (
        "layers/life_evidence.py",
        "told = blake2b(digest_size=16)",
        "told = blake2b(digest_size=17)",
    ): "a longer mark tells apart as well",
    (
        "layers/life_evidence.py",
        "piece = max(1, _AT_ONCE // sums.size)",
        "piece = max(2, _AT_ONCE // sums.size)",
    ): _FOR_SPEED,
    (
        "layers/life_evidence.py",
        "flat = layers.reshape(len(layers), -1)",
        "flat = layers.reshape(len(layers), -2)",
    ): "numpy takes any negative size for what is left",
    (
        "layers/life_posterior.py",
        "cell = np.log((x[:, -1] - x[:, 0]) * (y[:, -1] - y[:, 0]))",
        "cell = np.log((x[:, -1] - x[:, 0]) * (y[:, 1] - y[:, 0]))",
    ): "evidence is up to a constant, and a grid is even",
    (
        "layers/life_posterior.py",
        "settled = started and abs(log(likelier / wrong)) < _WRONG_STEP / 5",
        "settled = started and abs(log(likelier / wrong)) < _WRONG_STEP / 6",
    ): _AT_REST,
    (
        "layers/life_posterior.py",
        "GRID = (17, 13)  # points along log median and log shape",
        "GRID = (18, 13)  # points along log median and log shape",
    ): _AS_FINE,
    (
        "layers/life_posterior.py",
        "_SHIFT, _STRETCH, _RATE = 0.25, 0.15, 0.25",
        "_SHIFT, _STRETCH, _RATE = 0.375, 0.15, 0.25",
    ): _AS_FINE,
    (
        "layers/life_changes.py",
        "_GRID = (49, 7)  # points along log median and log shape",
        "_GRID = (49, 8)  # points along log median and log shape",
    ): _AS_FINE,
    (
        "layers/life_changes.py",
        "_REACH = 3.5  # standard deviations to either side of the label",
        "_REACH = 5.25  # standard deviations to either side of the label",
    ): _AS_FINE,
    (
        "layers/life_changes.py",
        "np.stack([np.square(label_spread), np.full(len(label), SUPPLY_SHAPE_SPREAD**2)], axis=1)",
        "np.stack([np.square(label_spread), np.full(len(label), SUPPLY_SHAPE_SPREAD**3)], axis=1)",
    ): _AS_FINE,
    (
        "layers/prompted_visits.py",
        "before = np.where(seen.age < seen.high[layer], opened[layer], 1.0)",
        "before = np.where(seen.age <= seen.high[layer], opened[layer], 1.0)",
    ): "what stands at the end itself is set two lines below",
    (
        "orders/order_chances.py",
        "after: int = 0",
        "after: int = 1",
    ): "read only where there is a stop, and then it is given",
    (
        "plan/expected_use.py",
        "code = code * (high - low + 1) + (key - low)",
        "code = code * (high - low + 2) + (key - low)",
    ): "all codes are apart still, and sort as before",
    (
        "layers/lives.py",
        "each, weights = points.chances(ages, np.zeros_like(ages), False, self.habits.fading)",
        "each, weights = points.chances(ages, np.zeros_like(ages), True, self.habits.fading)",
    ): "of a layer that was never seen no word says anything",
    (
        "letters/letters.py",
        "for _ in range(24):",
        "for _ in range(25):",
    ): "within two years every month has come twice",
    (
        "layers/letter_day.py",
        "row = np.clip((chance > level).sum(axis=0), 1, len(times) - 1)",
        "row = np.clip((chance >= level).sum(axis=0), 1, len(times) - 1)",
    ): "where the level itself stands in a row, both of its lines end there",
    (
        "orders/need.py",
        "luck = np.exp(-np.minimum(rate * quiet, 50.0))",
        "luck = np.exp(-np.minimum(rate * quiet, 75.0))",
    ): "luck of exp(-50) is none",
    (
        "orders/reorder_risk.py",
        "if floor > 0:",
        "if floor > 1:",
    ): "a floor of one base unit, a thousandth of a mL, is none",
    (
        "layers/life_evidence.py",
        "piece = max(1, _AT_ONCE // sums.size)",
        "piece = max(1, _AT_ONCE * sums.size)",
    ): _FOR_SPEED,
    (
        "layers/life_posterior.py",
        "started = zoom > 0 or near is not None",
        "started = zoom > 1 or near is not None",
    ): _AT_REST,
    (
        "layers/life_posterior.py",
        "covariance[:, [0, 1], [0, 1]] += step**2 / 12  # what a grid cannot see",
        "covariance[:, [0, 1], [0, 1]] += step**3 / 12  # what a grid cannot see",
    ): _AS_FINE,
    (
        "layers/life_evidence.py",
        'told.update(len(column).to_bytes(8, "little"))',
        'told.update(len(column).to_bytes(9, "little"))',
    ): "lengths tell apart in more bytes as well",
    (
        "plan/expected_use.py",
        "recipe_itself = np.zeros(1), np.zeros(1), np.array([SPREAD])",
        "recipe_itself = np.zeros(2), np.zeros(1), np.array([SPREAD])",
    ): "all supplies have the first for their parent",
    (
        "orders/packs.py",
        "_year_cost(offer, 1, 365.0 * per_day, settings) if per_day > 0 else float(offer.price),",
        "_year_cost(offer, 1, 365.0 * per_day, settings) if per_day > 1 else float(offer.price),",
    ): "a base unit a day, a thousandth of a mL or a piece, is none",
    (
        "stock/containers.py",
        "full = quantity // size if size > 0 else 0",
        "full = quantity // size if size > 1 else 0",
    ): "no container holds a single base unit",
    (
        "figures/slip.py",
        "came_in = sum(amount for amount in by.values() if amount > 0)",
        "came_in = sum(amount for amount in by.values() if amount >= 0)",
    ): "nothing adds nothing",
    (
        "stock/costing.py",
        "even = [1] * len(lines)",
        "even = [2] * len(lines)",
    ): "evenly is evenly",
    (
        "orders/packs.py",
        "then = max([then, *(one for one in froms if one > then and cost(one) <= cost(then))])",
        "then = max([then, *(one for one in froms if one >= then and cost(one) <= cost(then))])",
    ): "it stands among them already",
    (
        "numbers/wording.py",
        'return f"{number:,.2f}".rstrip("0").rstrip(".") if number < 10 else f"{number:,.0f}"',
        'return f"{number:,.2f}".rstrip("0").rstrip(".") if number <= 10 else f"{number:,.0f}"',
    ): "10 is written 10 both ways",
    (
        "layers/habit_learning.py",
        "return ((strength, 1.0, self.found),)",
        "return ((strength, 1.5, self.found),)",
    ): "the only weight is made one again",
    (
        "numbers/chances.py",
        "_SERIES = 16  # terms; with x at most `_SERIES_TO` the next is below 1e-9",
        "_SERIES = 17  # terms; with x at most `_SERIES_TO` the next is below 1e-9",
    ): "the next term is below 1e-9",
    (
        "plan/expected_use.py",
        "if high - low > 2**20:  # scattered numbers: their ranks do as well",
        "if high - low > 2**21:  # scattered numbers: their ranks do as well",
    ): "numbers and their ranks sort alike",
    (
        "orders/cover.py",
        "np.concatenate([np.arange(1, 57), np.geomspace(57, HORIZON, 30).round().astype(int)])",
        "np.concatenate([np.arange(1, 58), np.geomspace(57, HORIZON, 30).round().astype(int)])",
    ): "the other part begins with 57, and each counts once",
    (
        "layers/life_changes.py",
        "+ CLASS_SPREAD**2",
        "+ CLASS_SPREAD * 2",
    ): _AS_FINE,
    (
        "stock/shelf_order.py",
        '(0, int(part), "") if part.isdecimal() else (1, 0, part.strip())',
        '(0, int(part), "") if part.isdecimal() else (1, 1, part.strip())',
    ): "all words have the same number before them, and sort by themselves",
    (
        "layers/survival.py",
        "mass = np.full(spans.size, 1.0 / spans.size)",
        "mass = np.full(spans.size, 1.5 / spans.size)",
    ): "the first round shares it out anew, and the shares do not hang on its sum",
    (
        "layers/survival.py",
        "begins = np.where(after == by, 0, 2)",
        "begins = np.where(after == by, 1, 2)",
    ): "beginnings stand before ends, and a sort leaves equals in their order",
    (
        "layers/survival.py",
        "begins = np.where(after == by, 0, 2)",
        "begins = np.where(after == by, 0, 3)",
    ): "ends are 1: both stand behind them",
    ("layers/survival.py", "if moved < _SETTLED:", "if moved <= _SETTLED:"): _NEVER_EXACT,
    (
        "layers/survival.py",
        "_ROUNDS = 5000  # of self-consistency; a curve of a thousand layers settles in "
        "some hundreds",
        "_ROUNDS = 5001  # of self-consistency; a curve of a thousand layers settles in "
        "some hundreds",
    ): _AT_REST,
    (
        "layers/survival.py",
        "below = np.flatnonzero(self.survival < 0.5 + 1e-9)",
        "below = np.flatnonzero(self.survival <= 0.5 + 1e-09)",
    ): _NEVER_EXACT,
    (
        "layers/prompted_visits.py",
        "row = np.full(seen.low.size, -1)",
        "row = np.full(seen.low.size, -2)",
    ): "asked only whether it is below zero",
    (
        "layers/prompted_visits.py",
        "gap, gone, later, supply = np.array(rows, dtype=float).reshape(-1, 4).T",
        "gap, gone, later, supply = np.array(rows, dtype=float).reshape(-2, 4).T",
    ): "numpy takes any negative size for what is left",
    (
        "layers/letter_day.py",
        "worth[times[:, None] < seen] = -np.inf",
        "worth[times[:, None] <= seen] = -np.inf",
    ): "no age that is looked at stands in both grids",
    (
        "layers/letter_day.py",
        "best = np.clip(worth.argmax(axis=0), 1, len(times) - 2)",
        "best = np.clip(worth.argmax(axis=0), 1, len(times) - 3)",
    ): "the best day is never among the last of the grid",
    (
        "layers/life_posterior.py",
        "cell = np.log((x[:, -1] - x[:, 0]) * (y[:, -1] - y[:, 0]))",
        "cell = np.log((x[:, -1] - x[:, 0]) * (y[:, -2] - y[:, 0]))",
    ): "evidence is up to a constant, and a grid is even",
    (
        "layers/life_posterior.py",
        "covariance[:, [0, 1], [0, 1]] += step**2 / 12  # what a grid cannot see",
        "covariance[:, [0, 1], [0, 1]] += step**2 / 13  # what a grid cannot see",
    ): _AS_FINE,
    (
        "layers/life_posterior.py",
        "step = width * (2 * _REACH / (np.array(GRID) - 1))",
        "step = width * (2 * _REACH / (np.array(GRID) - 2))",
    ): _AS_FINE,
    (
        "layers/life_changes.py",
        "_GRID = (49, 7)  # points along log median and log shape",
        "_GRID = (50, 7)  # points along log median and log shape",
    ): _AS_FINE,
    (
        "layers/life_evidence.py",
        "return bool(np.any(self.unseen_before != 1.0))",
        "return bool(np.any(self.unseen_before != 1.5))",
    ): "where all are one, the pieces add up to the whole",
    (
        "layers/habit_learning.py",
        "while at(place) > at(top) - _NOTHING:",
        "while at(place) >= at(top) - _NOTHING:",
    ): _NEVER_EXACT,
    (
        "numbers/amounts.py",
        'both = one.digits.replace(".", ""), units.plain_number(one.number, 3)',
        'both = one.digits.replace(".", ""), units.plain_number(one.number, 4)',
    ): "it has three decimals, else it is not asked about",
    (
        "numbers/units.py",
        "return f\"{plain_number(Fraction(amount, 1000), 3)} {'mL' if kind is "
        "Kind.LIQUID else 'g'}\"",
        "return f\"{plain_number(Fraction(amount, 1000), 4)} {'mL' if kind is "
        "Kind.LIQUID else 'g'}\"",
    ): "thousandths have three decimals",
    (
        "stock/shelf_order.py",
        '(0, int(part), "") if part.isdecimal() else (1, 0, part.strip())',
        '(0, int(part), "") if part.isdecimal() else (2, 0, part.strip())',
    ): "words stand behind numbers either way",
    (
        "figures/rhythms.py",
        "return self.chance < QUIET",
        "return self.chance <= QUIET",
    ): _NEVER_EXACT,
    (
        "orders/shelf_risks.py",
        "most = min(max(int((top - start) / choice.offer.size), 0) + 1, MOST_PACKS)",
        "most = min(max(int((top - start) / choice.offer.size), 0) + 2, MOST_PACKS)",
    ): "the one behind the last that may be bought is due too late, and ends the ladder",
    (
        "layers/survival.py",
        "mass = np.full(spans.size, 1.0 / spans.size)",
        "mass = np.full(spans.size, 1.0 * spans.size)",
    ): "the first round shares it out anew, and the shares do not hang on its sum",
    (
        "layers/survival.py",
        "moved = np.abs(new - mass).sum()",
        "moved = np.abs(new + mass).sum()",
    ): _AT_REST,
    (
        "plan/own_hours.py",
        "asked = ClosedJob(service, outside, size, 1.0)",
        "asked = ClosedJob(service, outside, size, 1.5)",
    ): "of the job that is asked about only what it shares with others is read",
    (
        "orders/basket.py",
        "added = min((way for way in ways if way is not None), default=(0.0, ()))[1]",
        "added = min((way for way in ways if way is not None), default=(1.0, ()))[1]",
    ): "only what is added is read of it",
    (
        "numbers/invoicing.py",
        "return half_away(Fraction(carried[rate, job] * rest, whole)) if whole else 0",
        "return half_away(Fraction(carried[rate, job] * rest, whole)) if whole else 1",
    ): "of a job of nothing as much is left after as before",
    (
        "plan/visit_days.py",
        "weights = minutes if total else dict.fromkeys(minutes, 1)",
        "weights = minutes if total else dict.fromkeys(minutes, 2)",
    ): "all days count alike",
    (
        "plan/visit_days.py",
        "open_days = dict.fromkeys(open_days, 1)",
        "open_days = dict.fromkeys(open_days, 2)",
    ): "all days count alike",
    (
        "numbers/dilution.py",
        "if parts < 1:",
        "if parts <= 1:",
    ): "one to one is answered above",
    (
        "layers/lives.py",
        "late = self._table(supply, fading=False).late[0]",
        "late = self._table(supply, fading=False).late[1]",
    ): _HARDLY_SEEN,
    (
        "layers/life_changes.py",
        "_SHARES, _WEIGHTS = leggauss(24) * np.array([[0.5], [0.5]]) + np.array([[0.5], [0.0]])",
        "_SHARES, _WEIGHTS = leggauss(25) * np.array([[0.5], [0.5]]) + np.array([[0.5], [0.0]])",
    ): "the quadrature is exact for 47 supplies either way",
    (
        "plan/expected_use.py",
        "recipe_itself = np.zeros(1), np.zeros(1), np.array([SPREAD])",
        "recipe_itself = np.zeros(1), np.zeros(2), np.array([SPREAD])",
    ): "all supplies have the first for their parent",
    (
        "layers/habit_learning.py",
        "if shop.looks.doubt(shop.evidence.at_label(1.0), median, shape, habits.wrong) "
        "< _PROMPTED:",
        "if shop.looks.doubt(shop.evidence.at_label(1.0), median, shape, habits.wrong) "
        "<= _PROMPTED:",
    ): _NEVER_EXACT,
}


def alike(mutant: Mutant) -> str:
    """Why a mistake changes nothing; "" where it does."""
    name = str(mutant.path.relative_to("app/calculations"))
    return ALIKE.get((name, mutant.text, mutant.change), "")
