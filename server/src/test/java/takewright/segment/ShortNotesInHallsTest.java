package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.dsp.Decibels;
import takewright.pitch.Kind;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.testing.LivingRoom;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/**
 * Recorded notes of a double bass, cut short where a hall rings: the bow speaks late, the hall
 * blurs what follows, and few windows of a note repeat. Recorded speech in the same hall is none.
 */
class ShortNotesInHallsTest {
  private static final double ROOM_DBFS = -46;
  private static final double PEAK_DBFS = -12;
  private static final double PLAYED_S = 0.3;
  private static final int SPEECH_RATE = 16_000;
  private static final int ECHOES = 2000;

  /** By how much a hall's sound falls in a second, in dB: 60 in 1.2 s. */
  private static final double FALLS_DB = 50;

  @Test
  void lowNotesAreKept() throws IOException {
    List<Recordings.Note> notes = Recordings.of("contrabass");
    int rate = notes.get(0).read(1).sampleRate();
    TakeBuilder take = new TakeBuilder(rate, 5).pause(3);
    for (Recordings.Note note : notes) {
      float[] dry = TakeBuilder.faded(note.read(PLAYED_S));
      take.sound("note", note.midi(), inAHall(dry, rate), PEAK_DBFS, ROOM_DBFS).pause(1.2);
    }
    List<Region> regions = regions(take, rate);
    int kept = 0;
    for (TakeBuilder.Event event : take.events()) {
      for (Region region : regions) {
        boolean isHere = Math.abs(region.onset() - event.onset()) < 0.1 * rate;
        kept += isHere && !region.rejected() && region.pitch().midi() == event.midi() ? 1 : 0;
      }
    }
    assertTrue(kept >= 0.98 * notes.size(), kept + " of " + notes.size() + ": " + regions);
  }

  @Test
  void speechIsNot() throws IOException {
    List<Path> prompts = Recordings.speech().subList(40, 80);
    TakeBuilder take = new TakeBuilder(SPEECH_RATE, 5).pause(3);
    for (Path prompt : prompts) {
      try (AudioFile file = AudioFile.open(prompt)) {
        int frames = (int) Math.min(file.frames(), 3 * file.sampleRate());
        RetuneSettings plain = new RetuneSettings(0, SPEECH_RATE);
        float[] dry = TakeBuilder.faded(Retune.apply(Clip.read(file, frames), plain));
        take.sound("talk", 0, inAHall(dry, SPEECH_RATE), PEAK_DBFS, ROOM_DBFS).pause(1.2);
      }
    }
    List<Region> regions = regions(take, SPEECH_RATE);
    long kept = regions.stream().filter(region -> !region.rejected()).count();
    assertTrue(regions.size() > prompts.size() / 2, regions.toString());
    // A few short words hold one pitch for as long as a short note does.
    assertTrue(kept <= 0.12 * regions.size(), kept + " of " + regions.size());
  }

  private static List<Region> regions(TakeBuilder take, int rate) throws IOException {
    Clip clip = LivingRoom.around(take, rate, ROOM_DBFS, 11);
    return Segment.apply(clip.source(), SegmentSettings.forKind(Kind.PITCHED)).regions();
  }

  /** The sound with a hall's behind it, as strong as itself: many echoes that die away. */
  private static float[] inAHall(float[] dry, int rate) {
    SplittableRandom random = new SplittableRandom(7);
    float[] wet = Arrays.copyOf(dry, dry.length + rate);
    int[] after = random.ints(ECHOES, 0, rate).toArray();
    float[] gain = new float[ECHOES];
    double sum = 0;
    for (int e = 0; e < ECHOES; e++) {
      double fallen = Decibels.toAmplitude(-FALLS_DB * after[e] / rate);
      gain[e] = (float) (random.nextBoolean() ? fallen : -fallen);
      sum += fallen * fallen;
    }
    for (int e = 0; e < ECHOES; e++) {
      float scale = (float) (gain[e] / Math.sqrt(sum));
      for (int i = 0; i < dry.length; i++) {
        wet[i + after[e]] += scale * dry[i];
      }
    }
    return wet;
  }
}
