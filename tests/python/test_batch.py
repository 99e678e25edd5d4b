# SPDX-License-Identifier: Apache-2.0
import _thread
import math
import struct
import threading
import time

import fuelring
import numpy
import pytest

grass_and_conifers = {1: ("conifer", 1.0), 2: ("grass", 0.0)}
north_up = (0.0, 1.0, 0.0, 1000.0, 0.0, -1.0)


def polygon(*points):
    ring = [*points, points[0]]
    return struct.pack("<BIII", 1, 3, 1, len(ring)) + b"".join(struct.pack("<dd", *point) for point in ring)


def rectangle(x, y, width, height):
    return polygon((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def field():
    codes = numpy.full((1000, 1000), 2, dtype=numpy.uint8)
    codes[:, 512:] = 1
    return codes


def same_bits(values, expected):
    expected = numpy.array([math.nan if one is None else one for one in expected], dtype=float)
    return numpy.array_equal(values.view(numpy.uint64)[~numpy.isnan(values)],
                             expected.view(numpy.uint64)[~numpy.isnan(expected)]) \
        and numpy.array_equal(numpy.isnan(values), numpy.isnan(expected))


def test_rings_are_those_of_map_to_the_last_bit(sample):
    found = fuelring.rings(sample.footprints, sample.codes, sample.transform, sample.classes, nodata=sample.nodata,
                           crs="EPSG:32611")
    assert len(found["exposure"]) == len(sample.ids) > 200
    compared = [name for name in found if name != "status" and not name.startswith("mapped_m2_")]
    assert len(compared) == 4 + 5 * 4
    for name in compared:
        assert same_bits(found[name], sample.column(name)), name
    assert sorted(set(found["status"])) == ["ok", "repaired"]


def test_priority_is_that_of_map_to_the_last_bit(sample):
    surface = fuelring.priority(sample.footprints, sample.codes, sample.transform, sample.classes,
                                nodata=sample.nodata, jobs=2)
    assert surface.dtype == numpy.float32
    assert numpy.array_equal(surface, sample.priority(), equal_nan=True)


def test_shares_are_classes_of_these_shares_to_the_last_bit():
    codes = field()
    codes[:, 500:512] = 3
    table = {1: ("conifer", 1.0), 2: ("grass", 0.0), 3: ("mixed", 0.3333)}
    shares = numpy.array([0, 1, 0, 0.3333])[codes]
    homes = [rectangle(480 + 30 * k, 500, 12, 8) for k in range(3)]
    by_class = fuelring.rings(homes, codes, north_up, table)
    for values, whole in (("percent", 100), ("fraction", 1)):
        cells = (whole * shares).astype(numpy.float32)
        found = fuelring.rings(homes, cells, north_up, None, values=values)
        for name in by_class:
            if name.startswith("other_burnable"):
                assert numpy.isnan(found[name]).all(), name
            elif name != "status":
                assert same_bits(found[name], by_class[name]), name
        surface = fuelring.priority(homes, cells, north_up, None, values=values)
        assert numpy.array_equal(surface, fuelring.priority(homes, codes, north_up, table), equal_nan=True)
    with pytest.raises(fuelring.Error, match="no share"):
        fuelring.rings(homes, numpy.full((1000, 1000), 50, numpy.uint8), north_up, None, values="fraction")
    with pytest.raises(ValueError, match="no class table"):
        fuelring.rings(homes, codes, north_up, table, values="percent")


def test_a_view_is_not_copied():
    field_of_40_gb = numpy.broadcast_to(numpy.uint8(1), (200_000, 200_000))
    found = fuelring.rings([rectangle(500, 500, 12, 8)], field_of_40_gb, (0, 1, 0, 200_000, 0, -1), grass_and_conifers)
    assert found["exposure"][0] == pytest.approx(100, abs=1e-9)


def test_layouts_and_turned_arrays_give_the_same():
    codes = field()
    plain = fuelring.rings([rectangle(500, 500, 12, 8)], codes, north_up, grass_and_conifers)
    xy = numpy.array([(500, 500), (512, 500), (512, 508), (500, 508), (500, 500)], dtype=float)
    for offsets in (numpy.int32, numpy.int64):
        parts = (xy, numpy.array([0, 5], offsets), numpy.array([0, 1], offsets))
        for layout in ((*parts, None), (*parts, numpy.array([0, 1], offsets))):
            assert fuelring.rings(layout, codes, north_up, grass_and_conifers)["exposure"] == plain["exposure"]
    turned = numpy.asfortranarray(codes.astype(numpy.int16))[::-1][::-1]
    assert fuelring.rings([rectangle(500, 500, 12, 8)], turned, north_up, grass_and_conifers)["exposure"] == plain["exposure"]


def test_each_footprint_has_a_status_and_what_is_unknown_is_nan():
    bow_tie = polygon((500, 500), (512, 510), (512, 500), (500, 510))
    point = struct.pack("<BIdd", 1, 1, 5.0, 5.0)
    found = fuelring.rings([rectangle(500, 500, 12, 8), bow_tie, None, point, b"\x01\x03"], field(), north_up,
                           grass_and_conifers)
    assert found["status"] == ["ok", "repaired", "empty", "not_polygons", "malformed"]
    assert list(numpy.isnan(found["exposure"])) == [False, False, True, True, True]
    beyond = fuelring.rings([rectangle(5000, 500, 12, 8)], field(), north_up, grass_and_conifers)
    assert beyond["status"] == ["ok"] and numpy.isnan(beyond["exposure"][0])


def test_a_frame_gets_its_index_back():
    pandas = pytest.importorskip("pandas")

    class Frame:
        geometry = pandas.Series([rectangle(500, 500, 12, 8), None], index=["b", "a"])
    frame = fuelring.rings(Frame(), field(), north_up, grass_and_conifers)
    assert list(frame.index) == ["b", "a"]
    assert list(frame.status) == ["ok", "empty"]


def test_errors_have_the_words_of_the_program():
    house = [rectangle(500, 500, 12, 8)]
    with pytest.raises(fuelring.Error, match="a code near the footprints is not in the fuel-class table: 1;") as raised:
        fuelring.rings(house, field(), north_up, {2: ("grass", 0)})
    assert raised.value.exit_code == 3
    assert raised.value.remedy.startswith("add them to the table")
    fuelring.rings(house, field(), north_up, {2: ("grass", 0)}, unknown_codes="unmapped")
    with pytest.raises(fuelring.Error, match="must be above 0 and rise") as raised:
        fuelring.rings(house, field(), north_up, grass_and_conifers, outer_m=[10, 5], weight=[1, 1])
    assert raised.value.exit_code == 2
    for wrong in ({"classes": {1: ("pine", 1)}}, {"classes": "nowhere.csv"}, {"crs": "no system"}):
        with pytest.raises(fuelring.Error):
            fuelring.rings(**{"footprints": house, "raster": field(), "transform": north_up,
                              "classes": grass_and_conifers, **wrong})
    with pytest.raises(TypeError, match="array of two dimensions"):
        fuelring.rings(house, field()[0], north_up, grass_and_conifers)
    with pytest.raises(TypeError, match="byte order"):
        fuelring.rings(house, field().astype(">i2"), north_up, grass_and_conifers)
    with pytest.raises(ValueError, match="offsets of rings"):
        fuelring.rings((numpy.zeros((3, 2)), numpy.array([0, 9]), numpy.array([0, 1]), None), field(), north_up,
                       grass_and_conifers)
    with pytest.raises(ValueError, match="unknown_codes"):
        fuelring.rings(house, field(), north_up, grass_and_conifers, unknown_codes="skip")


def test_a_system_gives_metres_of_the_ground():
    # Web Mercator at 50 N on a sphere stretches by 1 / cos 50 = 1.5557 (Snyder 1987, from memory).
    at_50 = (-13_000_000.0, 1.0, 0.0, 6_446_276.0 + 500, 0.0, -1.0)
    stretch = 1 / math.cos(math.radians(50))
    house = [rectangle(-13_000_000 + 500, 6_446_276, 12 * stretch, 8 * stretch)]
    grid = fuelring.rings(house, field(), at_50, grass_and_conifers)
    ground = fuelring.rings(house, field(), at_50, grass_and_conifers, crs="EPSG:3857")
    assert grid["footprint_m2"][0] == pytest.approx(96 * stretch ** 2, rel=1e-9)
    assert ground["footprint_m2"][0] == pytest.approx(96, rel=0.01)  # an ellipsoid is no sphere
    with pytest.raises(fuelring.Error, match="reproject"):
        fuelring.rings([rectangle(-117, 50, 1e-4, 1e-4)], field(), (-117, 1e-5, 0, 50, 0, -1e-5), grass_and_conifers,
                       crs="EPSG:4326")


def crowd(count):
    places = numpy.random.default_rng(7).uniform(150, 850, (count, 2))
    return [rectangle(x, y, 12, 8) for x, y in places]


def test_progress_is_told_and_what_it_raises_stops_the_work():
    told = []
    fuelring.rings(crowd(3000), field(), north_up, grass_and_conifers, progress=lambda done, all_: told.append((done, all_)))
    assert told[-1] == (3000, 3000)
    assert told == sorted(told)

    def refuse(done, all_):
        raise LookupError("enough")
    begun = time.monotonic()
    with pytest.raises(LookupError, match="enough"):
        fuelring.rings(crowd(200_000), field(), north_up, grass_and_conifers, jobs=1, progress=refuse)
    assert time.monotonic() - begun < 10


def test_an_interrupt_ends_a_call_within_a_second():
    houses = crowd(100_000)
    sent = []

    def send():
        sent.append(time.monotonic())
        _thread.interrupt_main()
    threading.Timer(0.5, send).start()
    with pytest.raises(KeyboardInterrupt):
        fuelring.rings(houses, field(), north_up, grass_and_conifers, jobs=1)
    assert time.monotonic() - sent[0] < 1


def test_other_threads_of_python_run_meanwhile():
    counted = [0]
    over = threading.Event()

    def count():
        while not over.wait(0.001):
            counted[0] += 1
    thread = threading.Thread(target=count)
    thread.start()
    begun = time.monotonic()
    fuelring.rings(crowd(5000), field(), north_up, grass_and_conifers, jobs=1)
    took = time.monotonic() - begun
    over.set()
    thread.join()
    assert counted[0] > 50 * took
