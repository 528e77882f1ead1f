"""The phone's hardware, as the app is given it."""

import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from mobile.device.boot_clock.desk import desk_clock
from mobile.device.boot_clock.protocol import BootClock
from mobile.device.deep_links.desk import DeskDeepLinks
from mobile.device.deep_links.protocol import DeepLinks
from mobile.device.discovery.desk import DeskDiscovery
from mobile.device.discovery.protocol import ServiceDiscovery
from mobile.device.haptics.desk import DeskBuzzer
from mobile.device.haptics.protocol import Buzzer
from mobile.device.hardware_keys.desk import DeskKeyCapture
from mobile.device.hardware_keys.protocol import KeyCapture
from mobile.device.keep_awake.desk import DeskKeepAwake
from mobile.device.keep_awake.protocol import KeepAwake
from mobile.device.location.desk import DeskLocator
from mobile.device.location.protocol import Locator
from mobile.device.sharing.desk import DeskSharer
from mobile.device.sharing.protocol import Sharer
from mobile.device.speaker.desk import DeskSpeaker, NullSpeaker
from mobile.device.speaker.protocol import Speaker
from mobile.device.system_language.desk import desk_language
from mobile.device.system_language.protocol import SystemLanguage
from mobile.device.tts.desk import DeskTTS
from mobile.device.tts.protocol import TTS
from shared_models.core.keystore import KeyStore


def _desk_keystore(folder: Path) -> KeyStore:
    from mobile.device.keystore.desk import DeskKeyStore  # noqa: PLC0415 - a phone does not have what it imports

    return DeskKeyStore(folder)


@dataclass(frozen=True, slots=True)
class Hardware:
    """One phone's hardware; by default a desk's, without sounds."""

    clock: BootClock = field(default_factory=desk_clock)
    buzzer: Buzzer = field(default_factory=DeskBuzzer)
    awake: KeepAwake = field(default_factory=DeskKeepAwake)
    locator: Locator = field(default_factory=DeskLocator)
    speaker: Speaker = field(default_factory=NullSpeaker)
    tts: TTS = field(default_factory=DeskTTS)
    keys: KeyCapture = field(default_factory=DeskKeyCapture)
    sharer: Sharer = field(default_factory=DeskSharer)
    deep_links: DeepLinks = field(default_factory=DeskDeepLinks)
    discovery: ServiceDiscovery = field(default_factory=DeskDiscovery)
    #: the key pairs of the notebook in a folder
    open_keystore: Callable[[Path], KeyStore] = _desk_keystore
    language: SystemLanguage = desk_language


def on_android() -> bool:
    """Whether this is a phone."""
    return hasattr(sys, "getandroidapilevel")


def choose_hardware() -> Hardware:
    """The real hardware on a phone; on a desk its stand-ins, with sounds."""
    if on_android():
        from mobile.device.android_hardware import android_hardware  # noqa: PLC0415 - a desk needs none of it

        return android_hardware()
    return Hardware(speaker=DeskSpeaker())
