"""The stock file: read with every fault named, changed only on request, the old one always kept."""

import subprocess
import sys
import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assemblies.order import OrderError
from assemblies.shop.plan.rack_after import after_plan
from assemblies.shop.saw.model import SawPart
from assemblies.shop.saw.plan import plan_saw
from assemblies.shop.stock.rack import Rack, RackError, Slot, default_rack, read_rack, saw_stock, write_rack
from parts.tables import load

GOOD = """
units = "mm"
[[sheet]]
label = "large 6"
material = "cast-pmma"
thickness = 6
measured = 5.85
size = [1220, "96 in"]
quantity = 2
price = 95
trim = 10
[[offcut]]
label = "end"
material = "cast-pmma"
thickness = 6
size = [420, 503]
"""


def write(tmp_path, text):
    path = tmp_path / "rack.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_stock_file_is_read_with_units(tmp_path):
    rack = read_rack(write(tmp_path, GOOD))
    assert rack.slots[0] == Slot(
        label="large 6",
        material="cast-pmma",
        thickness_mm=6,
        measured_mm=5.85,
        width_mm=1220,
        height_mm=2438.4,
        quantity=2,
        price=95,
        trim_mm=10,
    )
    assert (rack.slots[1].kind, rack.slots[1].quantity, rack.slots[1].trim_mm) == ("offcut", 1, 0)
    inch = read_rack(
        write(tmp_path, GOOD.replace('"mm"', '"in"').replace("[420, 503]", "[16, 0.5]").replace("1220,", "48,"))
    )
    assert (inch.slots[1].width_mm, inch.slots[1].height_mm) == (406.4, 12.7)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('units = "mm"', 'units = "cm"', ":2: units: 'cm' is not allowed here; allowed: mm, in"),
        ("quantity = 2", "quantitty = 2", 'sheet[1].quantitty: unknown key (did you mean "quantity"?)'),
        (
            "quantity = 2",
            "quantity = -2",
            "sheet[1].quantity: -2 is not valid; allowed: a whole number from 0 to 100000",
        ),
        ("quantity = 2", "quantity = true", "sheet[1].quantity: true is not valid"),
        ("size = [420, 503]", "size = [420]", "offcut[1].size: [420] has 1 items, not 2; allowed: [width, height]"),
        ("size = [420, 503]", "", "offcut[1].size: is missing"),
        ("size = [420, 503]", 'size = [420, "wide"]', "offcut[1].size[2]: 'wide' is not a length"),
        ("size = [420, 503]", "size = [420, 0]", "offcut[1].size[2]: 0 is not over 0"),
        ("trim = 10", "trim = 700", "sheet[1].trim: nothing is left of 1220 x 2438.4 mm"),
        ("price = 95", "price = nan", "sheet[1].price: nan is not a number"),
        ('material = "cast-pmma"', 'material = "oak"', "sheet[1].material: 'oak' is not allowed here"),
        ('label = "end"', 'label = "large 6"', "offcut[1].label: 'large 6' is there twice; allowed: each label once"),
        ('label = "end"', 'label = ""', "offcut[1].label: '' is not valid"),
        (
            'label = "end"',
            'label = "\u00dcber"',
            "offcut[1].label: 'Über' is not valid; allowed: 1 to 60 plain (ASCII)",
        ),
        ("[[offcut]]", "[[bin]]", "bin: unknown key"),
        ("[[offcut]]", "[offcut]", "offcut: a table is not a list; allowed: [[offcut]], a table for each"),
        ('units = "mm"', "units =", "is not TOML"),
        ('units = "mm"', 'units = "mm"\na = ' + "[" * 100_000, "rack.toml:3: is nested too deep; allowed: at most 16"),
        ('units = "mm"', f'units = "mm"\na = {"9" * 5000}', "a number of thousands of digits"),
        ("measured = 5.85", "measured = 0.23", "sheet[1].measured: 0.23 mm on sheet of nominal 6 mm"),
        ("thickness = 6", "thickness = 2026-01-01", "sheet[1].thickness: 2026-01-01 is not a length"),
        ("quantity = 2", "quantity = 2026-01-01", "sheet[1].quantity: 2026-01-01 is not valid"),
        ('label = "end"', 'label = "\\u001b[31m"', "offcut[1].label: '\\x1b"),
    ],
)
def test_faults_are_named_with_file_line_and_key(tmp_path, old, new, says):
    path = write(tmp_path, GOOD.replace(old, new))
    with pytest.raises(OrderError) as caught:
        read_rack(path)
    assert says in str(caught.value)
    assert str(caught.value).startswith(f"{path}:")


def test_all_faults_are_told_at_once(tmp_path):
    path = write(tmp_path, GOOD.replace("quantity = 2", "quantity = -1").replace("[420, 503]", "[0, 503]"))
    with pytest.raises(OrderError) as caught:
        read_rack(path)
    assert len(str(caught.value).splitlines()) == 2


@pytest.mark.parametrize("text", ['units = "mm"\n', "sheet = []\n"])
def test_an_empty_rack_is_refused(tmp_path, text):
    with pytest.raises(OrderError, match="nothing is on the rack"):
        read_rack(write(tmp_path, text))


def test_a_missing_file_and_a_folder_are_refused(tmp_path):
    with pytest.raises(OrderError, match=r"cannot be opened: No such file or directory; allowed: a stock file"):
        read_rack(tmp_path / "none.toml")
    with pytest.raises(OrderError, match="is a folder; allowed: a stock file"):
        read_rack(tmp_path)


sizes = st.floats(1, 5000).map(lambda v: round(v, 6))


@given(
    st.lists(
        st.tuples(sizes, sizes, st.booleans(), st.integers(0, 9), st.none() | st.floats(0, 1e6)), min_size=1, max_size=6
    ),
    st.booleans(),
)
def test_a_written_rack_reads_back_the_same(tmp_path_factory, rows, inch):
    path = tmp_path_factory.mktemp("rack") / "rack.toml"
    slots = [
        Slot(
            label=f'no "{k}" \\',
            kind="offcut" if offcut else "sheet",
            material="cast-pmma",
            thickness_mm=6.0,
            measured_mm=5.8 if offcut else None,
            width_mm=w,
            height_mm=h,
            quantity=count,
            price=price,
        )
        for k, (w, h, offcut, count, price) in enumerate(rows)
    ]
    rack = Rack(slots=tuple(sorted(slots, key=lambda s: s.kind == "offcut")), units="in" if inch else "mm")
    assert write_rack(rack, path) is None
    assert read_rack(path) == rack


def test_the_old_file_is_kept_under_a_new_name_each_time(tmp_path):
    path = write(tmp_path, GOOD)
    rack = read_rack(path)
    first = write_rack(rack, path)
    second = write_rack(rack, path)
    assert [first.name, second.name] == ["rack.toml.bak", "rack.toml.bak.1"]
    assert first.read_text() == GOOD
    assert read_rack(path) == rack
    assert sorted(p.name for p in tmp_path.iterdir()) == ["rack.toml", "rack.toml.bak", "rack.toml.bak.1"]


def test_a_write_that_fails_leaves_the_file_as_it_was(tmp_path, monkeypatch):
    path = write(tmp_path, GOOD)
    monkeypatch.setattr("os.replace", lambda *_: (_ for _ in ()).throw(OSError(28, "disk full")))
    with pytest.raises(RackError, match=r"rack.toml: cannot be written: disk full; nothing was booked"):
        write_rack(read_rack(path), path)
    assert path.read_text() == GOOD
    assert not list(tmp_path.glob(".rack*"))


def test_the_plan_takes_the_offcut_first_and_the_rack_afterwards_balances(tmp_path):
    path = write(tmp_path, GOOD)
    rack = read_rack(path)
    slots, stock = saw_stock(rack, "cast-pmma", 6)
    small = plan_saw([SawPart(name="p", width_mm=200, height_mm=200, count=4)], stock)
    assert [slots[e].label for e in small.sheets] == ["end"]
    after = after_plan(rack, slots, small)
    assert [s.label for s in after.slots if s.label in ("end", "large 6")] == ["large 6"]
    large = plan_saw([SawPart(name="p", width_mm=600, height_mm=500, count=2)], stock)
    after = after_plan(rack, slots, large)
    assert next(s.quantity for s in after.slots if s.label == "large 6") == 1
    new = [s for s in after.slots if s.label not in ("end", "large 6")]
    assert sum(round(s.width_mm * s.height_mm) for s in new) == round(large.balance.offcuts / 1e12)
    assert all(s.kind == "offcut" and s.measured_mm == 5.85 for s in new)
    assert len({s.label for s in after.slots}) == len(after.slots)
    write_rack(after, path)  # the proposal is itself a good stock file
    assert len(read_rack(path).slots) == len(after.slots)


def test_nothing_of_the_wanted_thickness_is_said_with_what_there_is(tmp_path):
    rack = read_rack(write(tmp_path, GOOD))
    with pytest.raises(RackError, match="no cast-pmma of 8 mm on the rack: there is cast-pmma 6 mm"):
        saw_stock(rack, "cast-pmma", 8)
    with pytest.raises(RackError, match="there is nothing"):
        saw_stock(Rack(slots=()), "cast-pmma", 8)


@pytest.mark.parametrize("row", load("sheet_sizes"), ids=lambda row: row["size"])
def test_every_usual_size_is_on_the_default_rack(row):
    rack = default_rack(row["material"], 6, row["unit"])
    slot = next(s for s in rack.slots if s.label == row["size"])
    scale = 25.4 if row["unit"] == "in" else 1
    assert slot.width_mm == pytest.approx(float(row["width"]) * scale)
    assert slot.width_mm < slot.height_mm
    assert slot.quantity is None


def test_the_default_rack_is_no_stock_file(tmp_path):
    with pytest.raises(RackError, match="has no quantity"):
        write_rack(default_rack("cast-pmma", 6), tmp_path / "rack.toml")
    assert not (tmp_path / "rack.toml").exists()


def test_an_inch_sheet_is_its_metric_name_less_a_little():
    # facts of the trade: 48 x 96 in is 1219.2 x 2438.4 mm, sold as 1220 x 2440
    inch = next(s for s in default_rack("cast-pmma", 6, "in").slots)
    assert tomllib.loads(f"w = {inch.width_mm}")["w"] == pytest.approx(1219.2)
    assert inch.height_mm == pytest.approx(2438.4)


@pytest.mark.parametrize("row", load("cutting_process"), ids=lambda row: row["process"])
def test_every_process_has_a_range_and_a_caution(row):
    assert 0 < float(row["from_mm"]) < float(row["to_mm"])
    assert len(row["caution"]) > 20
    assert row["straight_only"] in ("yes", "no")


def test_process_limits_are_those_of_the_sources():
    rows = {row["process"]: row for row in load("cutting_process")}
    assert float(rows["jigsaw"]["from_mm"]) == 6.35  # common practice: no jigsaw under 1/4 in
    assert float(rows["score-and-snap"]["to_mm"]) <= 4.5  # sources say 3 to 6 mm; the safer is taken
    assert set(rows) - {"jigsaw"} == {row["process"] for row in load("process_defaults")}


def test_of_two_bookings_from_one_reading_the_later_is_refused_and_loses_nothing(tmp_path):
    path = write(tmp_path, GOOD)
    mine, theirs = read_rack(path), read_rack(path)
    write_rack(Rack(slots=theirs.slots[:1]), path, theirs)
    booked = path.read_text()
    with pytest.raises(RackError, match="has changed since the plan was made: nothing was booked"):
        write_rack(mine, path, mine)
    assert path.read_text() == booked
    assert sorted(p.name for p in tmp_path.iterdir()) == ["rack.toml", "rack.toml.bak"]


def test_a_booking_waits_for_another_that_is_at_work(tmp_path):
    path = write(tmp_path, GOOD)
    code = (
        "import sys, fcntl, os, time; handle = os.open(sys.argv[1], os.O_RDONLY); fcntl.flock(handle, fcntl.LOCK_EX);"
        "print('held', flush=True); time.sleep(0.5); open(sys.argv[2], 'x')"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, str(tmp_path), str(tmp_path / "done")], stdout=subprocess.PIPE, text=True
    ) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        rack = read_rack(path)
        write_rack(rack, path, rack)
        assert (tmp_path / "done").exists()
    assert read_rack(path) == rack


def test_a_link_books_the_file_it_leads_to_with_its_mode(tmp_path):
    (tmp_path / "shelf").mkdir()
    real = write(tmp_path / "shelf", GOOD)
    real.chmod(0o640)
    link = tmp_path / "rack.toml"
    link.symlink_to(real)
    rack = read_rack(link)
    old = write_rack(Rack(slots=rack.slots[:1]), link, rack)
    assert link.is_symlink()
    assert old == real.with_name("rack.toml.bak")
    assert old.read_text() == GOOD
    assert real.stat().st_mode & 0o777 == 0o640
    assert len(read_rack(link).slots) == 1


def test_what_a_dead_run_left_is_cleared(tmp_path):
    path = write(tmp_path, GOOD)
    (tmp_path / ".rack.toml.1.new").write_text("half")
    write_rack(read_rack(path), path)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["rack.toml", "rack.toml.bak"]
