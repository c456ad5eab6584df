package takewright.map;

import java.io.IOException;
import takewright.audio.AudioSource;

/** Where the audio of a key map comes from. */
public interface Samples {
  /** Opens a zone's sample at its first frame. */
  AudioSource open(Zone zone) throws IOException;
}
