"""What a question may be about."""

from enum import StrEnum


class Topic(StrEnum):
    """What is asked about."""

    DAYS_LEFT = "days_left"
    STATUS = "status"
    DUE = "due"
    AGENDA = "agenda"
    READY = "ready"
    SUPPLY = "supply"
    ORDERS = "orders"
    TAKINGS = "takings"
    STOCK = "stock"
    HISTORY = "history"
    COUNT = "count"
    CLIMATE = "climate"
    WHY = "why"
    HOWTO = "howto"
    COST = "cost"
    PLAN = "plan"
    WHO = "who"
    DUTY = "duty"
    WEEK = "week"
