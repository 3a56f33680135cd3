"""Histories of answers through the Python library fsrs, for tests/memory.rs.

Made with `python memory.py > memory.json`, fsrs 6.3.2 (MIT). Whole days only: the library counts days
whole. Wrong is its rating "again", right is "good".
"""
import json
import random
from datetime import datetime, timedelta, timezone

from fsrs import Card, Rating, Scheduler

scheduler = Scheduler(learning_steps=(), relearning_steps=(), enable_fuzzing=False)
chance = random.Random(20260714)
start = datetime(2026, 6, 1, tzinfo=timezone.utc)
histories = []
for _ in range(60):
    card, day, answers = Card(), 0, []
    for _ in range(chance.randint(1, 12)):
        right = chance.random() < 0.7
        when = start + timedelta(days=day, hours=1)
        before = scheduler.get_card_retrievability(card, when) if answers else None
        card, _ = scheduler.review_card(card, Rating.Good if right else Rating.Again, when)
        answers.append({"day": day, "right": right, "chance_before": before,
                        "stability_days": card.stability, "difficulty": card.difficulty})
        day += chance.choice([0, 0, 1, 2, 5, 14, 60, 300])
    histories.append(answers)
print(json.dumps(histories, indent=0))
