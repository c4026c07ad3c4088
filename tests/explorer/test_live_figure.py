"""What of a picture is sent to the browser: all of it, in as many digits as a screen can show."""

from __future__ import annotations

import base64
import json
import math

import numpy as np
import plotly.graph_objects as go

from anchorsim.explorer.live_figure import LiveFigure


def sent(figure: LiveFigure) -> dict:
    return json.loads(figure._sent)


def test_a_picture_is_sent_whole_and_another_in_its_place() -> None:
    figure = LiveFigure(go.Figure(layout={"title": {"text": "one"}}))
    across, up = np.array([0.0, 600.0, np.nan]), np.array([1, 2, 3])
    drawn = go.Figure([go.Scatter(x=across, y=up, text=["a", "<b>", None])], {"xaxis": {"range": (0, 9)}})
    figure.show(drawn)
    assert figure.picture is drawn
    (trace,) = sent(figure)["data"]
    got = [np.frombuffer(base64.b64decode(trace[name]["bdata"]), np.float32) for name in "xy"]
    assert [trace[name]["dtype"] for name in "xy"] == ["f4", "f4"]
    np.testing.assert_array_equal(got, [across, up])
    assert trace["text"] == ["a", "<b>", None]
    assert sent(figure)["layout"]["xaxis"] == {"range": [0, 9]}
    assert "title" not in sent(figure)["layout"]


def test_a_number_that_is_none_leaves_the_picture_readable() -> None:
    figure = LiveFigure(go.Figure(layout={"meta": [math.nan, math.inf, 1.0]}))
    assert sent(figure)["layout"]["meta"] == [None, None, 1.0]
