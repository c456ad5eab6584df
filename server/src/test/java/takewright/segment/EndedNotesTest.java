package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;
import takewright.testing.BankOfNotes;
import takewright.testing.LivingRoom;
import takewright.testing.TakeBuilder;

/**
 * Recorded bars, damped soon after they are struck, with so short a pause behind them that it ends
 * no region.
 */
class EndedNotesTest {
  private static final double ROOM_DBFS = -60;
  private static final double PEAK_DBFS = -8;

  /** The bar of the design for onsets, in seconds. */
  private static final double ONSET_S = 0.02;

  /** What is left of a note that has ended does not make the onset of the next one too early. */
  @Test
  void theNextNoteSetsInWhereItIsStruck() throws IOException {
    List<BankOfNotes.Note> notes = BankOfNotes.marimba();
    int rate = notes.get(0).clip().sampleRate();
    TakeBuilder take = new TakeBuilder(rate, 5).pause(3);
    for (BankOfNotes.Note note : notes) {
      for (int k = 0; k < 3; k++) {
        take.sound("note", note.midi(), damped(note, 0.2), PEAK_DBFS, ROOM_DBFS).pause(0.18);
      }
      take.pause(1.5);
    }
    List<Region> kept = kept(take, rate);
    int found = 0;
    for (TakeBuilder.Event event : take.events()) {
      for (Region region : kept) {
        double off = (double) (region.onset() - event.onset()) / rate;
        if (Math.abs(off) < 0.1) {
          found++;
          assertEquals(0, off, ONSET_S, event + " in " + region);
        }
      }
    }
    assertTrue(found >= 0.9 * take.events().size(), found + " of " + take.events().size());
  }

  /** A knock just before a stroke is a region of its own or none, but never an empty one. */
  @Test
  void noRegionIsEmpty() throws IOException {
    List<BankOfNotes.Note> notes = BankOfNotes.vibraphone();
    int rate = notes.get(0).clip().sampleRate();
    TakeBuilder take = new TakeBuilder(rate, 5).pause(3);
    for (BankOfNotes.Note note : notes) {
      for (int k = 0; k < 4; k++) {
        take.sound("knock", 0, take.knock(), -30 - 4 * k, ROOM_DBFS).back(0.03 * k - 0.04);
        take.sound("note", note.midi(), damped(note, 0.2), PEAK_DBFS, ROOM_DBFS).pause(1.2);
      }
    }
    Clip clip = LivingRoom.around(take, rate, ROOM_DBFS, 11);
    for (Region region :
        Segment.apply(clip.source(), SegmentSettings.forKind(Kind.PITCHED)).regions()) {
      assertTrue(region.end() - region.onset() > 0.001 * rate, region.toString());
    }
  }

  private static float[] damped(BankOfNotes.Note note, double seconds) {
    int frames = (int) (seconds * note.clip().sampleRate());
    float[] x = Arrays.copyOf(note.clip().mono(), frames);
    return TakeBuilder.faded(Clip.of(note.clip().sampleRate(), x));
  }

  private static List<Region> kept(TakeBuilder take, int rate) throws IOException {
    Clip clip = LivingRoom.around(take, rate, ROOM_DBFS, 11);
    return Segment.apply(clip.source(), SegmentSettings.forKind(Kind.PITCHED)).regions().stream()
        .filter(region -> !region.rejected())
        .toList();
  }
}
