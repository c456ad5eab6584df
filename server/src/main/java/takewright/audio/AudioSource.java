package takewright.audio;

import java.io.Closeable;
import java.io.IOException;

/** Audio read forwards in blocks, so that memory does not grow with its length. */
public interface AudioSource extends Closeable {
  /** Value of {@link #frames()} if the end is not known yet, as for a stream. */
  long UNKNOWN = -1;

  /** Frames per second. */
  int sampleRate();

  /** Number of channels, at least 1. */
  int channels();

  /** Total number of frames, or {@link #UNKNOWN}. */
  long frames();

  /**
   * Reads the next frames, full scale at ±1.
   *
   * @param planar where to: one array a channel
   * @param offset index of the first sample to fill in each array
   * @param count at most this many frames
   * @return the frames read, at least 1 where {@code count} is; -1 at the end
   * @throws BadAudioException if the audio cannot be understood or ends too soon
   * @throws IOException if reading fails
   */
  int read(float[][] planar, int offset, int count) throws IOException;
}
