package org.rowend;

import android.view.KeyEvent;
import java.util.BitSet;
import org.kivy.android.PythonActivity;

/**
 * The app's activity. While a row is on the screen, the keys beside the glass and on a headset or remote go to the row;
 * otherwise they are the system's, as ever.
 *
 * SDL's own activity hands the volume keys to Android before anybody sees them, and SDL has no name for a headset's
 * button (SDL 2.30, SDLActivity.dispatchKeyEvent and SDL_androidkeyboard.c).
 */
public class RowActivity extends PythonActivity {
    private static volatile boolean takes;
    private final BitSet down = new BitSet();

    /** From now on, or no longer. Called from the app's thread. */
    public static void takeKeys(boolean on) {
        takes = on;
    }

    @Override
    public boolean dispatchKeyEvent(KeyEvent event) {
        int key = event.getKeyCode();
        boolean up = event.getAction() == KeyEvent.ACTION_UP;
        // a key that went down in the row comes up there too, wherever the app has gone meanwhile
        boolean taken = isRowKey(key) && (up ? down.get(key) : takes);
        if (!taken) {
            return super.dispatchKeyEvent(event);
        }
        down.set(key, !up);
        if (up) {
            onNativeKeyUp(named(key));
        } else {
            onNativeKeyDown(named(key));
        }
        return true;
    }

    private static boolean isRowKey(int key) {
        switch (key) {
            case KeyEvent.KEYCODE_VOLUME_UP:
            case KeyEvent.KEYCODE_VOLUME_DOWN:
            case KeyEvent.KEYCODE_HEADSETHOOK:
            case KeyEvent.KEYCODE_MEDIA_PLAY:
            case KeyEvent.KEYCODE_MEDIA_PAUSE:
            case KeyEvent.KEYCODE_MEDIA_PLAY_PAUSE:
            case KeyEvent.KEYCODE_MEDIA_STOP:
            case KeyEvent.KEYCODE_MEDIA_NEXT:
            case KeyEvent.KEYCODE_MEDIA_PREVIOUS:
                return true;
            default:
                return false;
        }
    }

    /** Those that SDL has no name for are told as the one that starts and stops music. */
    private static int named(int key) {
        switch (key) {
            case KeyEvent.KEYCODE_HEADSETHOOK:
            case KeyEvent.KEYCODE_MEDIA_PLAY:
            case KeyEvent.KEYCODE_MEDIA_PAUSE:
                return KeyEvent.KEYCODE_MEDIA_PLAY_PAUSE;
            default:
                return key;
        }
    }
}
