"""The trade, pure and standard library only: records, rules, days."""
