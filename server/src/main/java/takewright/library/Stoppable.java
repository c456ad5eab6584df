package takewright.library;

import java.io.IOException;
import java.util.concurrent.CancellationException;
import java.util.function.BooleanSupplier;
import takewright.audio.AudioSource;

/** A source that stops whoever reads it once the work is cancelled. */
record Stoppable(AudioSource source, BooleanSupplier cancelled) implements AudioSource {
  @Override
  public int sampleRate() {
    return source.sampleRate();
  }

  @Override
  public int channels() {
    return source.channels();
  }

  @Override
  public long frames() {
    return source.frames();
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    if (cancelled.getAsBoolean()) {
      throw new CancellationException("the work was cancelled");
    }
    return source.read(planar, offset, count);
  }

  @Override
  public void close() throws IOException {
    source.close();
  }
}
