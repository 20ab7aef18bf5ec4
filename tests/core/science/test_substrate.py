"""How much cooler than the air wet substrate can get."""

import pytest

from core.science.moist_air import wet_bulb_depression
from core.science.ranges import OutOfRangeError
from core.science.substrate import COVER_SHARE, surface_drop_c


def test_an_open_surface_goes_down_to_the_wet_bulb_and_a_covered_one_a_part_of_the_way():
    open_c, covered_c = (surface_drop_c(30.0, 50.0, is_covered=is_covered) for is_covered in (False, True))

    assert open_c == wet_bulb_depression(30.0, 50.0) > 5
    assert covered_c == pytest.approx(open_c * COVER_SHARE.value)


def test_the_drier_the_air_the_cooler_and_in_wet_air_not_at_all():
    drops = [surface_drop_c(30.0, rh, is_covered=False) for rh in (20, 50, 80, 100)]

    assert drops == sorted(drops, reverse=True)
    assert drops[-1] == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(("temp_c", "rh"), [(float("nan"), 50), (30, 101), (90, 50)])
def test_what_no_air_is_like_is_refused(temp_c, rh):
    with pytest.raises(OutOfRangeError):
        surface_drop_c(temp_c, rh, is_covered=False)
