"""What sound, and measuring it, can do to people: the triggers and whole texts of these cautions."""

from __future__ import annotations

from isolate.remedies.cautions.facts import Facts

LOUD_DBA = 85.0


def hearing(facts: Facts) -> str | None:
    """What is played inside is loud."""
    if facts.loudest_dba < LOUD_DBA:
        return None
    hours = 8.0 / 2.0 ** ((facts.loudest_dba - LOUD_DBA) / 3.0)
    time = f"{hours:.1f} hours" if hours >= 1.5 else f"{60 * hours:.0f} minutes"
    return (
        f"At {facts.loudest_dba:.0f} dBA inside, {time} a day is what grown-up ears are said to bear; a "
        "child's are to be spared far more: softer, shorter, further from the instrument. Protect them "
        "beyond that and whenever you measure with loud noise; ears that ring go to a doctor."
    )


def test_noise(facts: Facts) -> str | None:
    """Noise that is played to measure."""
    if not facts.test_noise:
        return None
    hours = (
        "Test noise at 85 dBA may be heard for 8 hours a day, each 3 dB more halves that: 88 dBA 4 hours, 94 "
        "dBA 1 hour, 100 dBA 15 minutes. "
    )
    return ("" if facts.loudest_dba >= LOUD_DBA else hours) + (
        "Start low, leave the loud room while it plays, wear ear protection where you must raise your voice "
        "to be heard, and keep children and animals away."
    )


def burst(facts: Facts) -> str | None:
    """A balloon burst for the reverberation."""
    if not facts.burst:
        return None
    return (
        "A balloon that bursts beside the ear peaks above 140 dB, which can hurt at once and for good: ears "
        "plugged, at arm's length and away from the face, with goggles, no child or animal in the room. "
        "Claps do too."
    )


def speakers(facts: Facts) -> str | None:
    """Loudspeakers under steady noise."""
    if not facts.test_noise:
        return None
    return (
        "Steady noise heats loudspeakers, treble units first: stay well below full power and pause between "
        "takes. Tell the neighbours before you play, and do it by day."
    )


def on_facade(facts: Facts) -> str | None:
    """A microphone outdoors."""
    if not facts.on_facade:
        return None
    return "Tie microphone, boom and cable so that nothing can fall on people below; never lean out for it."


def recorder(facts: Facts) -> str | None:
    """A recorder that runs by itself."""
    if not facts.recorder:
        return None
    return (
        "A recorder left to run hears what people say, beyond the wall and in the street too; in many places "
        "it is an offence to record them unasked. Have the consent of housemates and neighbours first, keep "
        "the levels, delete the sound."
    )


def played_back(facts: Facts) -> str | None:
    """Sounds that are played to listen to."""
    if facts.played_back is None:
        return None
    loud, soft = facts.played_back
    return (
        "Set the volume once and do not turn it up for the quiet ones: they are meant to be quiet, and the "
        f"loudest comes {loud - soft:.0f} dB above the softest, {loud:.0f} dBA where all are lifelike. Start "
        "low, with headphones above all, and lower for children; ears bear 85 dBA for 8 hours, each 3 dB "
        "more for half as long."
    )
