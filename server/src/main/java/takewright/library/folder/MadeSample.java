package takewright.library.folder;

import java.util.Set;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;

/**
 * What is known of a sample once it is made.
 *
 * @param measures what was measured
 * @param loop how it is held and let go
 * @param flags what to look at
 */
public record MadeSample(Measures measures, LoopAndRelease loop, Set<Flag> flags) {
  public MadeSample {
    flags = Flags.copyOf(flags);
  }
}
