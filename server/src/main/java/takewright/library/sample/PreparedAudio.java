package takewright.library.sample;

import java.io.IOException;
import java.util.Set;
import takewright.analyse.Faults;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseResult;
import takewright.denoise.DenoiseSettings;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Flags;
import takewright.dsp.Cents;
import takewright.library.folder.BeforeAfter;
import takewright.library.take.RestlessRoom;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.segment.Region;

/**
 * A region of one microphone, cleaned, tuned, cut and faded: what a sample is made of once its loop
 * is known.
 *
 * @param audio the audio, at the rate of the library; this object's own
 * @param placing where each moment of the take lies in it
 * @param cleaning what the noise reduction says; null if there was none
 * @param flags what its recording and the cleaning say to look at
 */
record PreparedAudio(Clip audio, Placing placing, DenoiseResult cleaning, Set<Flag> flags) {
  /**
   * Audio read on either side of a region, in seconds, so that the noise reduction hears what was
   * before and after; it is cut off again.
   */
  private static final double CONTEXT_S = 0.5;

  /** Reads, cleans, tunes, cuts and fades, in this order. */
  static PreparedAudio of(SampleOrder order, Tuning tuning, SampleSource source)
      throws IOException {
    Cleaned cleaned = clean(order, tuning, source);
    Set<Flag> flags =
        cleaned.result() != null
            ? RestlessRoom.flags(cleaned.result(), source.profile())
            : source.profile() == null && order.amountDb() > 0
                ? Flags.of(Flag.NO_ROOM_TONE)
                : Flags.of();
    if (cleaned.isClipped()) {
      flags = Flags.with(flags, Flag.CLIPPED);
    }
    Placing placing = placing(order, tuning, cleaned);
    return new PreparedAudio(tune(order, cleaned, placing), placing, cleaned.result(), flags);
  }

  /**
   * Where moments of the take lie in the sample.
   *
   * @param onset frame of the onset in the take
   * @param cleanedOnset the same in the audio that was tuned
   * @param takeRate frames per second of the take
   * @param leadIn frames of the sample before its onset
   * @param settings how it was tuned
   */
  record Placing(long onset, long cleanedOnset, int takeRate, int leadIn, RetuneSettings settings) {
    /** The frame of the sample at a time in the take, in seconds. */
    long frame(double takeS) {
      long at = cleanedOnset + Math.round(takeS * takeRate) - onset;
      return Retune.mapFrame(at, takeRate, settings) - tunedOnset() + leadIn;
    }

    /** The frame of the onset in the tuned audio. */
    long tunedOnset() {
      return Retune.mapFrame(cleanedOnset, takeRate, settings);
    }
  }

  /** The noise floor before and after the cleaning, with the gain that the audio gets after it. */
  BeforeAfter floorDbfs(double gainDb) {
    return cleaning == null
        ? BeforeAfter.UNKNOWN
        : new BeforeAfter(cleaning.floorBeforeDbfs(), cleaning.floorAfterDbfs() + gainDb);
  }

  /**
   * A region, cleaned.
   *
   * @param audio from some frames before the region to its end
   * @param onset its onset in there
   * @param result what the noise reduction says; null if there was none
   * @param isClipped whether its peaks were cut off when it was recorded
   */
  private record Cleaned(Clip audio, int onset, DenoiseResult result, boolean isClipped) {}

  private static Cleaned clean(SampleOrder order, Tuning tuning, SampleSource source)
      throws IOException {
    Region region = order.region();
    try (AudioFile file = source.recording().open()) {
      long context = (long) (CONTEXT_S * file.sampleRate());
      long from = Math.max(0, region.start() - context);
      long to = Math.min(file.frames(), region.end() + context);
      Clip wide = read(file, from, to);
      // Cleaning and tuning make flat tops round. The segmenter sees those of the main microphone
      // at full scale; a take that was lowered afterwards has them below it.
      Clip recorded = wide.slice((int) (region.start() - from), (int) (region.end() - from));
      boolean isClipped = Faults.isClipped(recorded);
      DenoiseResult result = null;
      if (source.profile() != null && order.amountDb() > 0) {
        result =
            Denoise.apply(wide, new DenoiseSettings(order.amountDb(), source.profile().from(from)));
        wide = result.audio();
      }
      // Tuning upwards shortens the lead-in; enough of it must be left.
      double max = tuning.moveCents() - tuning.drift().lowest();
      double faster = Math.max(1, Cents.toRatio(max));
      long leadIn = (long) Math.ceil(faster * (region.onset() - region.start())) + 1;
      long first = Math.max(from, region.onset() - leadIn);
      Clip cut = wide.slice((int) (first - from), (int) (region.end() - from));
      return new Cleaned(cut, (int) (region.onset() - first), result, isClipped);
    }
  }

  private static Placing placing(SampleOrder order, Tuning tuning, Cleaned cleaned) {
    Region region = order.region();
    int takeRate = cleaned.audio().sampleRate();
    int rate = order.output().sampleRate();
    double onsetS = (double) cleaned.onset() / takeRate;
    RetuneSettings settings =
        new RetuneSettings(tuning.moveCents(), rate, tuning.drift().later(onsetS));
    double leadInS = (double) (region.onset() - region.start()) / takeRate;
    int leadIn = (int) Math.round(leadInS * rate);
    return new Placing(region.onset(), cleaned.onset(), takeRate, leadIn, settings);
  }

  /** Tuned, with the onset exactly as long after the start as in the take, and faded. */
  private static Clip tune(SampleOrder order, Cleaned cleaned, Placing placing) {
    Clip audio = cleaned.audio();
    int rate = order.output().sampleRate();
    int leadIn = placing.leadIn();
    Clip tuned = Retune.apply(audio, placing.settings());
    int onset = (int) placing.tunedOnset();
    Clip cut = from(tuned, onset - leadIn);
    if (cut == audio) {
      cut = audio.slice(0, audio.frames());
    }
    double fadeInS = order.fadeInS((double) leadIn / rate);
    fade(cut, (int) (fadeInS * rate), (int) (order.fadeOutS() * rate));
    return cut;
  }

  /** The clip from a frame on; where that lies before its first, with silence in front. */
  private static Clip from(Clip clip, int first) {
    if (first == 0) {
      return clip;
    }
    if (first > 0) {
      return clip.slice(Math.min(first, clip.frames()), clip.frames());
    }
    float[][] padded = new float[clip.channels()][clip.frames() - first];
    for (int c = 0; c < padded.length; c++) {
      System.arraycopy(clip.channel(c), 0, padded[c], -first, clip.frames());
    }
    return Clip.of(clip.sampleRate(), padded);
  }

  private static Clip read(AudioFile file, long from, long to) throws IOException {
    file.seek(from);
    return Clip.read(file, (int) (to - from));
  }

  /** Raised-cosine fades at both ends, in place: nobody else has the clip. */
  private static void fade(Clip clip, int in, int out) {
    int frames = clip.frames();
    int first = Math.min(in, frames / 2);
    int last = Math.min(out, frames / 2);
    for (int c = 0; c < clip.channels(); c++) {
      float[] x = clip.channel(c);
      for (int i = 0; i < first; i++) {
        x[i] *= (float) (0.5 - 0.5 * Math.cos(Math.PI * i / first));
      }
      for (int i = 0; i < last; i++) {
        x[frames - 1 - i] *= (float) (0.5 - 0.5 * Math.cos(Math.PI * i / last));
      }
    }
  }
}
