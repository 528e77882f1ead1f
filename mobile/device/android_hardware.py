"""An Android phone's hardware."""

from pathlib import Path

from mobile.device.boot_clock.android import android_clock
from mobile.device.deep_links.android import AndroidDeepLinks
from mobile.device.discovery.android import android_discovery
from mobile.device.haptics.android import AndroidBuzzer
from mobile.device.hardware import Hardware
from mobile.device.hardware_keys.android import AndroidKeyCapture
from mobile.device.keep_awake.android import AndroidKeepAwake
from mobile.device.keystore.android import AndroidKeyStore
from mobile.device.location.android import AndroidLocator, android_receiver, permission_request
from mobile.device.sharing.android import AndroidSharer
from mobile.device.speaker.android import AndroidSpeaker
from mobile.device.system_language.android import android_language
from mobile.device.tts.android import AndroidTTS


def android_hardware() -> Hardware:
    """The hardware, around the app's activity."""
    import jnius  # noqa: PLC0415 - only a phone has it
    from android import activity as events  # noqa: PLC0415 - as above
    from android.permissions import Permission, check_permission, request_permissions  # noqa: PLC0415 - as above
    from plyer import vibrator  # noqa: PLC0415 - on a phone only

    autoclass = jnius.autoclass
    wanted = [Permission.ACCESS_FINE_LOCATION, Permission.ACCESS_COARSE_LOCATION]
    ask = permission_request(wanted, check_permission, request_permissions)
    activity = autoclass("org.kivy.android.PythonActivity").mActivity
    return Hardware(
        clock=android_clock(autoclass),
        buzzer=AndroidBuzzer(vibrator),
        awake=AndroidKeepAwake(),
        locator=AndroidLocator(android_receiver(jnius), ask),
        speaker=AndroidSpeaker(autoclass, lambda: Path(str(activity.getCacheDir().getAbsolutePath()))),
        tts=AndroidTTS(autoclass),
        keys=AndroidKeyCapture(autoclass),
        sharer=AndroidSharer(jnius, activity, events),
        deep_links=AndroidDeepLinks(activity, events),
        discovery=android_discovery(jnius, activity),
        open_keystore=lambda _: AndroidKeyStore(autoclass),
        language=android_language(autoclass),
    )
