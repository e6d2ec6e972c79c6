import pytest

from slake.campaign.span import span_of_use


def test_half_of_the_least_to_twice_the_most():
    assert span_of_use([0.04, 0.10, 0.06]) == pytest.approx((0.02, 0.20))
    assert span_of_use([0.6, 0.7]) == pytest.approx((0.3, 1.0))


def test_what_was_left_out_once_may_be_again_and_what_was_never_used_has_no_span():
    assert span_of_use([0.0, 0.1])[0] == 0
    assert span_of_use([0.0]) is None and span_of_use([]) is None
