"""Works an estimate out again from its formulas, by another program, and holds the results to those beside the formulas.

    python recalculate.py JOB.xlsx JOB.json [OTHER.xlsx]

JOB.xlsx is the workbook, JOB.json the outcome (`haul JOB --workbook JOB.xlsx --json`). Every formula is worked out by the package
`formulas`; neither the results written beside them nor this program's own code take part. Then the totals are held to the outcome. OTHER.xlsx
is the workbook of the same job with other figures said: put into the cells of the first, they must give all results of the second.

Tolerance 1e-9, relative above 1. Prints a line for each comparison that fails, and what was compared; ends with 1 if any failed.
"""
import json
import sys
import warnings

warnings.filterwarnings("ignore")
import formulas
import openpyxl

TOLERANCE = 1e-9
failed = []


def held(what, got, want):
    """Numbers to the tolerance, words exactly; an empty cell and an empty word are one."""
    got, want = ("" if v is None else v for v in (got, want))
    if isinstance(got, (int, float)) and isinstance(want, (int, float)):
        same = abs(got - want) <= TOLERANCE * max(1.0, abs(want))
    else:
        same = got == want
    if not same:
        failed.append(f"{what}: worked out {got!r}, written {want!r}")


def cells(path, results):
    """Every cell of a workbook that is not empty, by sheet and place."""
    book = openpyxl.load_workbook(path, data_only=results)
    return {(s.title, c.coordinate): c.value for s in book for row in s for c in row if c.value is not None}


def is_formula(value):
    return isinstance(value, str) and value.startswith("=")


def live(path):
    """The places of formulas: what a name begins with does not make it one."""
    book = openpyxl.load_workbook(path)
    return {(s.title, c.coordinate) for s in book for row in s for c in row if c.data_type == "f"}


def worked_out(path, changes):
    """What every formula comes to, with numbers of other cells changed."""
    name = path.replace("\\", "/").split("/")[-1]
    key = lambda sheet, place: f"'[{name}]{sheet.upper()}'!{place}"
    model = formulas.ExcelModel().loads(path).finish()
    solution = model.calculate(inputs={key(*at): value for at, value in changes.items()})
    out = {}
    for at in live(path):
        node = solution.get(key(*at))
        value = node.value[0, 0] if node is not None else None
        value = value.item() if hasattr(value, "item") else value
        out[at] = "" if str(value) == "empty" else value
    return out


def beside(got, path, what):
    written = cells(path, True)
    for at, value in sorted(got.items()):
        held(f"{what}, {at[0]} {at[1]}", value, written.get(at))


def rows(got, path, sheet):
    """Rows of a sheet with what was worked out in them, by their first cell; the first of each name."""
    book, out = openpyxl.load_workbook(path), {}
    for row in book[sheet]:
        name = row[0].value
        if name is not None:
            out.setdefault(name, []).append([got.get((sheet, c.coordinate), c.value) for c in row])
    return out


def totals(got, path, outcome):
    """The sums people bid by."""
    haul = json.load(open(outcome))["haul"]
    account, trips, orders, prices = (rows(got, path, s) for s in ("Account", "Trips", "Orders", "Prices"))
    total = account["TOTAL"][0]
    for what, column in [("bank", 3), ("export", 11), ("loose", 12), ("compacted", 13), ("mass", 14)]:
        held(what, total[column], haul.get(what))
    held("kept", account["topsoil kept"][0][1], haul["kept"])
    held("short", account["topsoil to bring in"][0][1], haul["short"])
    held("fill short", account["fill to bring in, compacted"][0][1], haul["fill_short"])
    for truck in haul["trips"]:
        row = trips[truck["truck"]][0]
        for what, column in [("by_volume", 5), ("by_payload", 6), ("trips", 7), ("hauling", 9), ("hours", 10)]:
            held(f"{truck['truck']}, {what}", row[column], truck.get(what))
    for material in haul["materials"]:
        for k, load in enumerate(material["trips"]):
            held(f"{material['material']} by {load['truck']}", trips[material["material"]][0][4 + k], load["trips"])
    for order in haul.get("orders", []):
        found = [row[8] for row in orders[order["name"]] if (row[1] or "", row[9], row[10] or "")
                 == (order.get("gradation", ""), order["unit"], order.get("note", ""))]
        held(f"orders of {order['name']}", len(found), 1)
        held(order["name"], found[0], order["amount"])
    cost = haul.get("cost", {})
    held("total", prices["TOTAL of what has a price"][0][4], cost.get("total", 0.0))
    return len(haul["trips"]), len(haul.get("orders", []))


def main():
    path, outcome = sys.argv[1:3]
    got = worked_out(path, {})
    beside(got, path, "as written")
    trucks, orders = totals(got, path, outcome)
    text = f"{len(got)} formulas, {trucks} trucks, {orders} orders"
    if len(sys.argv) > 3:
        other = sys.argv[3]
        mine, theirs = cells(path, False), cells(other, False)
        formulas_here = live(path)
        is_number = lambda v: isinstance(v, (int, float)) and not isinstance(v, bool)
        changes = {at: v for at, v in theirs.items()
                   if at not in formulas_here and is_number(v) and mine.get(at) != v}
        held("places of formulas", formulas_here, live(other))
        beside(worked_out(path, changes), other, "with other figures")
        text += f"; {len(changes)} cells changed"
    print(f"{text}: {'all hold' if not failed else f'{len(failed)} do not hold'}")
    for line in failed:
        print(f"  {line}")
    sys.exit(1 if failed else 0)


main()
