package takewright.library.take;

import java.io.IOException;
import java.util.EnumSet;
import java.util.Set;
import takewright.analyse.Analyse;
import takewright.analyse.AnalyseSettings;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.dsp.Decibels;
import takewright.library.match.Corrections;
import takewright.pitch.Kind;
import takewright.pitch.Pitch;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.sheet.Take;

/**
 * Listens again to a region whose bounds a person has moved: what it is matched by, as the
 * segmenter would measure it there.
 *
 * @param take the take
 * @param tuningHz frequency of A4 in hertz
 * @param maxS a region longer than this is no sample, in seconds
 */
record Rehearing(Take take, double tuningHz, double maxS) implements Corrections.Hearing {
  /** The loudest stretch of this length gives the level, in seconds, as in {@link Region}. */
  private static final double LEVEL_S = 0.5;

  @Override
  public Region hear(Region was, long start, long onset, long end) throws IOException {
    Clip clip;
    int rate;
    try (AudioFile file = CutTake.open(take.main())) {
      rate = file.sampleRate();
      file.seek(onset);
      clip = Clip.read(file, (int) Math.min(end - onset, (long) (maxS * rate)));
    }
    Kind kind = was == null ? take.kind() : was.kind();
    Pitch pitch =
        kind == Kind.PITCHED
            ? Analyse.pitch(clip, new AnalyseSettings(false, tuningHz))
            : was == null ? null : was.pitch();
    Set<Flag> flags = EnumSet.noneOf(Flag.class);
    boolean isTooLong = end - start > maxS * rate;
    if (isTooLong) {
      flags.add(Flag.TOO_LONG);
    }
    return new Region(
        start,
        onset,
        end,
        kind,
        pitch,
        1,
        isTooLong,
        flags,
        Decibels.fromAmplitude(Math.max(1e-10, peak(clip))),
        Decibels.fromPower(Math.max(1e-20, loudest(clip))),
        Blemishes.NONE,
        null);
  }

  private static double peak(Clip clip) {
    double peak = 0;
    for (int c = 0; c < clip.channels(); c++) {
      for (float x : clip.channel(c)) {
        peak = Math.max(peak, Math.abs(x));
      }
    }
    return peak;
  }

  /** Mean square of the loudest stretch of all channels mixed. */
  private static double loudest(Clip clip) {
    float[] mono = clip.mono();
    int length = (int) Math.max(1, Math.min(mono.length, LEVEL_S * clip.sampleRate()));
    double sum = 0;
    double loudest = 0;
    for (int i = 0; i < mono.length; i++) {
      sum += (double) mono[i] * mono[i];
      if (i >= length) {
        sum -= (double) mono[i - length] * mono[i - length];
      }
      if (i >= length - 1) {
        loudest = Math.max(loudest, sum / length);
      }
    }
    return loudest;
  }
}
