package takewright.service.call;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.io.IOException;
import org.junit.jupiter.api.Test;
import takewright.audio.AudioSource;
import takewright.audio.Clip;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.service.access.Limits;

/** Streamed audio on the disk counts while it is there, and no longer. */
class SpoolTest {
  private static AudioSource second() {
    return Clip.of(48_000, new float[48_000]).source();
  }

  @Test
  void aStreamCountsUntilItIsClosed() throws IOException {
    long room = 5 * 48_000;
    Limits.spool(Limits.SPOOL_BYTES - room);
    try {
      Spool one = new Spool(second());
      ProblemException refused =
          assertThrows(ProblemException.class, () -> new Spool(second()).close());
      assertEquals(Reason.TOO_MUCH, refused.problem().reason());
      assertEquals("audio", refused.problem().field());
      one.close();
      new Spool(second()).close();
    } finally {
      Limits.unspool(Limits.SPOOL_BYTES - room);
    }
  }
}
