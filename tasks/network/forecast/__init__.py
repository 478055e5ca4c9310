"""The forecast: plain values in, plain values out, no framework.

Ask `forecast` for the launch of a plan as a distribution, and `learn` what the builder's own record
makes of their guesses and hours.
"""

from tasks.network.estimate import Estimate
from tasks.network.forecast.flow import Flow, Wait, hands_flow
from tasks.network.forecast.history import Correction, Done, Factor, Pace, Prior, Week, learn
from tasks.network.forecast.monte_carlo import forecast
from tasks.network.forecast.values import Forecast, TaskForecast

__all__ = [
    "Correction",
    "Done",
    "Estimate",
    "Factor",
    "Flow",
    "Forecast",
    "Pace",
    "Prior",
    "TaskForecast",
    "Wait",
    "Week",
    "forecast",
    "hands_flow",
    "learn",
]
