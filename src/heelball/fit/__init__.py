"""The choice: margins between boot and foot through a day, verdicts, loss, and what to say of it."""
