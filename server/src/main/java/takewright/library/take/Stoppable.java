package takewright.library.take;

import java.io.IOException;
import java.util.concurrent.CancellationException;
import java.util.function.BooleanSupplier;
import takewright.audio.AudioSource;
import takewright.audio.PassingSource;

/** A source that stops its reader once the work is cancelled. */
final class Stoppable extends PassingSource {
  private final BooleanSupplier cancelled;

  Stoppable(AudioSource source, BooleanSupplier cancelled) {
    super(source);
    this.cancelled = cancelled;
  }

  @Override
  public int read(float[][] planar, int offset, int count) throws IOException {
    if (cancelled.getAsBoolean()) {
      throw new CancellationException("the work was cancelled");
    }
    return super.read(planar, offset, count);
  }
}
