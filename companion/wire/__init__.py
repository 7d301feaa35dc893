"""One codec for entries and plans: plain for our own store, strict for what comes from outside."""
