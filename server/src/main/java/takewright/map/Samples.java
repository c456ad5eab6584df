package takewright.map;

import java.io.IOException;
import takewright.audio.AudioSource;

/** The source of a key map's audio. */
public interface Samples {
  /** Opens a zone's sample at its first frame. */
  AudioSource open(Zone zone) throws IOException;
}
