"""What a window or command says of a store that cannot be opened or trusted."""

from companion.journal.faults import JournalDamaged, JournalFault


def store_fault_words(fault: JournalFault) -> str:
    """Its sentence; of a damaged store with its newest good copy. Loaded when there is a fault."""
    from companion.journal.backups import damage_told
    from companion.presentation.language.said import said_words

    return said_words(damage_told(fault) if isinstance(fault, JournalDamaged) else fault.said)
