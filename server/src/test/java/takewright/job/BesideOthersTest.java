package takewright.job;

import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseSettings;
import takewright.pitch.Kind;
import takewright.retune.Retune;
import takewright.retune.RetuneSettings;
import takewright.segment.Region;
import takewright.segment.Segment;
import takewright.segment.SegmentSettings;
import takewright.testing.Ear;
import takewright.testing.Job;
import takewright.testing.LivingRoom;
import takewright.testing.Outside;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/**
 * The core of the job beside general-purpose tools of Debian on the same take: aubio's onset
 * detector, SoX's and FFmpeg's noise reduction. They do not know what a take is; a program made for
 * takes that did no better would have no reason to be.
 */
class BesideOthersTest {
  private static final double ROOM_DBFS = -58;

  /** An onset counts as found within 50 ms, as in MIREX's evaluation of onset detection. */
  private static final double FOUND_S = 0.05;

  @TempDir Path folder;

  private static TakeBuilder notes(String instrument, double seconds, boolean talk)
      throws IOException {
    List<Recordings.Note> all = Recordings.of(instrument);
    int rate = all.get(0).read(0.1).sampleRate();
    TakeBuilder take = new TakeBuilder(rate, 17).pause(3);
    for (int i = 0; i < all.size(); i += 2) {
      float[] sound = TakeBuilder.faded(all.get(i).read(seconds));
      take.sound("note", all.get(i).midi(), sound, -9 - 3 * (i % 3), ROOM_DBFS).pause(0.9);
      if (talk && i % 6 == 2) {
        try (AudioFile file = AudioFile.open(Recordings.speech().get(11 * i))) {
          Clip words = Clip.read(file, (int) Math.min(file.frames(), 2L * file.sampleRate()));
          float[] said = TakeBuilder.faded(Retune.apply(words, new RetuneSettings(0, rate)));
          take.sound("talk", 0, said, -20, ROOM_DBFS).pause(0.9);
        }
      }
    }
    return take.pause(1);
  }

  /** Of the onsets that were found in time: how many, and how far off in the median. */
  private record Found(int right, int wrong, double medianMs) {
    double score(int played) {
      return 2.0 * right / (2.0 * right + wrong + (played - right));
    }
  }

  private static Found match(double[] onsets, List<Double> played) {
    List<Double> off = new ArrayList<>();
    for (double at : played) {
      Arrays.stream(onsets)
          .map(onset -> Math.abs(onset - at))
          .filter(distance -> distance <= FOUND_S)
          .min()
          .ifPresent(off::add);
    }
    double[] sorted = off.stream().mapToDouble(d -> 1000 * d).sorted().toArray();
    double median = sorted.length == 0 ? Double.NaN : sorted[sorted.length / 2];
    return new Found(off.size(), onsets.length - off.size(), median);
  }

  @ParameterizedTest
  @ValueSource(strings = {"violin", "saxophone"})
  void notesAreFoundBetterThanByAnOnsetDetector(String instrument) throws Exception {
    TakeBuilder take = notes(instrument, 1.5, true);
    int rate = Recordings.of(instrument).get(0).read(0.1).sampleRate();
    Clip clip = LivingRoom.around(take, rate, ROOM_DBFS, 3);
    new Job(folder).take("take.wav", clip);
    List<Double> played =
        take.events().stream()
            .filter(event -> event.what().equals("note"))
            .map(event -> (double) event.onset() / rate)
            .toList();
    double[] ours =
        Segment.apply(clip.source(), SegmentSettings.forKind(Kind.PITCHED)).regions().stream()
            .filter(region -> !region.rejected())
            .mapToLong(Region::onset)
            .mapToDouble(onset -> (double) onset / rate)
            .toArray();
    double[] others =
        run(Outside.tool("aubioonset").toString(), "-i", folder.resolve("take.wav").toString())
            .lines()
            .mapToDouble(Double::parseDouble)
            .toArray();
    Found mine = match(ours, played);
    Found aubio = match(others, played);
    assertTrue(mine.score(played.size()) >= 0.98, "ours: " + mine + " of " + played.size());
    assertTrue(mine.score(played.size()) > aubio.score(played.size()), mine + " and " + aubio);
    assertTrue(mine.medianMs() <= aubio.medianMs(), mine + " and " + aubio);
  }

  /** By how many dB what is left comes nearer to the clean take; beside others'. */
  @Test
  void theNoteComesNearerThanByOtherNoiseReducers() throws Exception {
    TakeBuilder take = notes("violin", 1.2, false);
    int rate = Recordings.of("violin").get(0).read(0.1).sampleRate();
    Clip noisy = LivingRoom.around(take, rate, ROOM_DBFS, 4);
    Job job = new Job(folder).take("clean.wav", take.build(-200)).take("noisy.wav", noisy);
    job.take("ours.wav", Denoise.apply(noisy, new DenoiseSettings(24, null)).audio());
    String sox = Outside.tool("sox").toString();
    String in = folder.resolve("noisy.wav").toString();
    String profile = folder.resolve("room.prof").toString();
    run(sox, in, "-n", "trim", "0.2", "2.6", "noiseprof", profile);
    // Each at the best of three settings; 0.21 is what SoX's manual begins with.
    for (String amount : List.of("0.1", "0.21", "0.35")) {
      String out = folder.resolve("sox" + amount + ".wav").toString();
      run(sox, "-D", in, out, "noisered", profile, amount);
    }
    for (int above : new int[] {0, 8, 16}) {
      run(
          Outside.tool("ffmpeg").toString(),
          "-y",
          "-loglevel",
          "error",
          "-i",
          in,
          "-af",
          "afftdn=nr=24:nf=" + (ROOM_DBFS + above),
          "-c:a",
          "pcm_s24le",
          folder.resolve("ffmpeg" + above + ".wav").toString());
    }
    String script =
        """
        clean, rate = mono('%1$s/clean.wav')
        noisy, _ = mono('%1$s/noisy.wav')
        def gain(name):
            x, _ = mono('%1$s/' + name)
            x = np.pad(x, (0, max(0, len(clean) - len(x))))[:len(clean)]
            n = 1 << (2 * len(x) - 1).bit_length()
            r = np.fft.irfft(np.fft.rfft(x, n) * np.conj(np.fft.rfft(clean, n)), n)
            x = np.roll(x, -(lambda k: k if k < n // 2 else k - n)(int(np.argmax(r))))
            return 10 * np.log10(np.sum((noisy - clean) ** 2) / np.sum((x - clean) ** 2))
        y = [gain('ours.wav'), max(gain(f'sox{a}.wav') for a in ('0.1', '0.21', '0.35')),
             max(gain(f'ffmpeg{a}.wav') for a in (0, 8, 16))]
        """
            .formatted(folder);
    double[] gains = new Ear(folder).y(script);
    assertTrue(gains[0] > gains[1] + 1, "ours, SoX, FFmpeg: " + Arrays.toString(gains));
    assertTrue(gains[0] > gains[2] + 1, "ours, SoX, FFmpeg: " + Arrays.toString(gains));
  }

  private static String run(String... command) throws IOException, InterruptedException {
    Process process =
        new ProcessBuilder(command).redirectError(ProcessBuilder.Redirect.DISCARD).start();
    String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertTrue(process.waitFor() == 0, String.join(" ", command) + " failed");
    return said;
  }
}
