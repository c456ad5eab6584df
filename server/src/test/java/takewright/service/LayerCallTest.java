package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.ByteString;
import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.inprocess.InProcessChannelBuilder;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.v1.AudioOutput;
import takewright.v1.EffectDelay;
import takewright.v1.LayerConfig;
import takewright.v1.LayerEffect;
import takewright.v1.LayerRequest;
import takewright.v1.LayerResponse;
import takewright.v1.LayerRoom;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.OperationsServiceGrpc.OperationsServiceStub;
import takewright.v1.PcmEncoding;

/** Layers as a client calls for them. */
class LayerCallTest {
  private static final int RATE = 48_000;

  @TempDir Path folder;
  private TakewrightServer server;
  private ManagedChannel channel;
  private OperationsServiceStub stub;
  private Path note;
  private Path out;
  private LayerConfig.Builder config;

  @BeforeEach
  void start() throws IOException {
    folder = folder.toRealPath();
    server = TakewrightServer.startInProcess();
    channel = InProcessChannelBuilder.forName(server.address()).build();
    stub = OperationsServiceGrpc.newStub(channel);
    note = folder.resolve("note.wav");
    WavWriter.write(note, Calls.note(RATE, 220), 24, WavChunks.NONE);
    out = folder.resolve("out.wav");
    config =
        LayerConfig.newBuilder()
            .setInput(Calls.file(note))
            .setOutput(AudioOutput.newBuilder().setFile(out.toString()));
  }

  @AfterEach
  void stop() throws IOException {
    channel.shutdownNow();
    server.close();
  }

  private List<LayerResponse> layer(LayerConfig.Builder settings) {
    return Calls.stream(stub::layer, LayerRequest.newBuilder().setConfig(settings).build());
  }

  private void refused(LayerConfig.Builder settings, String... words) {
    Calls.refused(Status.Code.INVALID_ARGUMENT, () -> layer(settings), words);
    assertFalse(Files.exists(out));
  }

  private static Clip read(Path file) throws IOException {
    try (AudioFile audio = AudioFile.open(file)) {
      return Clip.read(audio, (int) audio.frames());
    }
  }

  @Test
  void aRoomIsMadeWhereNothingIsSaid() throws IOException {
    List<LayerResponse> answers = layer(config);
    Clip room = read(out);
    assertEquals(2, room.channels());
    assertEquals(room.frames(), answers.get(answers.size() - 1).getReport().getFrames());
    assertTrue(room.frames() > 2.5 * RATE, "the room sounds on");
    // The note itself is where it was.
    float[] x = read(note).channel(0);
    double product = 0;
    double power = 0;
    for (int i = 0; i < x.length; i++) {
      product += x[i] * room.channel(0)[i];
      power += x[i] * x[i];
    }
    assertTrue(product / power > 0.5);
  }

  @Test
  void aStreamGivesWhatTheFileGives() throws IOException {
    Path impulse = folder.resolve("ir.wav");
    WavWriter.write(impulse, Calls.note(44_100, 400), 24, WavChunks.NONE);
    config.setImpulseFile(impulse.toString()).setWetDb(-3).setPreDelayMs(12);
    layer(config);
    List<LayerResponse> answers =
        layer(
            config
                .clone()
                .setOutput(AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_INT24)));
    assertEquals(1, answers.get(0).getFormat().getChannels());
    ByteString all = ByteString.EMPTY;
    for (LayerResponse answer : answers) {
      all = all.concat(answer.getAudio());
    }
    float[] wanted = read(out).channel(0);
    assertEquals(3 * wanted.length, all.size());
    for (int i = 0; i < wanted.length; i++) {
      int value =
          (all.byteAt(3 * i) & 255)
              | (all.byteAt(3 * i + 1) & 255) << 8
              | all.byteAt(3 * i + 2) << 16;
      // The file is dithered.
      assertEquals(wanted[i], value * 0x1p-23, 3 * 0x1p-23);
    }
  }

  /** What the contract says of channels; an impulse response of 0 channels is a computed room. */
  @ParameterizedTest
  @CsvSource({
    "1, 0, 2",
    "2, 0, 2",
    "3, 0, 3",
    "1, 1, 1",
    "1, 2, 2",
    "1, 4, 2",
    "2, 1, 2",
    "2, 2, 2",
    "2, 4, 2",
    "3, 1, 3",
    "3, 3, 3",
    "1, 3, -1",
    "2, 3, -1",
    "3, 2, -1",
    "3, 4, -1"
  })
  void aRoomSuitsTheChannelsOfTheSample(int channels, int ofImpulse, int ofResult)
      throws IOException {
    Path several = folder.resolve("several.wav");
    WavWriter.write(several, channels(RATE, channels), 24, WavChunks.NONE);
    config.setInput(Calls.file(several));
    if (ofImpulse > 0) {
      Path impulse = folder.resolve("impulse.wav");
      WavWriter.write(impulse, channels(44_100, ofImpulse), 24, WavChunks.NONE);
      config.setImpulseFile(impulse.toString());
    }
    if (ofResult < 0) {
      refused(config, "impulse_file");
      return;
    }
    layer(config);
    assertEquals(ofResult, read(out).channels());
    assertEquals(RATE, read(out).sampleRate());
  }

  private static Clip channels(int rate, int count) {
    float[][] channels = new float[count][];
    Arrays.fill(channels, Calls.note(rate, 220).channel(0));
    return Clip.of(rate, channels);
  }

  @Test
  void chainsGoInTheirOrder() throws IOException {
    config
        .addChain(LayerEffect.newBuilder().setGainDb(-20))
        .addChain(
            LayerEffect.newBuilder()
                .setDelay(
                    EffectDelay.newBuilder().setNoteValue("1/4").setTempoBpm(60).setWetDb(0)));
    layer(config);
    float[] x = read(note).channel(0);
    float[] y = read(out).channel(0);
    for (int i = RATE; i < 2 * RATE; i++) {
      assertEquals(0.1 * x[i] + 0.1 * x[i - RATE], y[i], 1e-6);
    }
  }

  @Test
  void whatCannotBeIsRefusedByItsField() {
    refused(config.clone().setWetDb(13), "wet_db", "-60 to 12");
    refused(config.clone().setRoom(LayerRoom.newBuilder().setLengthM(1)), "length_m");
    refused(
        config.clone().setRoom(LayerRoom.newBuilder()).setImpulseFile(note.toString()),
        "config.room",
        "config.impulse_file");
    LayerEffect gain = LayerEffect.newBuilder().setGainDb(-3).build();
    refused(config.clone().addChain(gain).setWetDb(-3), "config.wet_db");
    refused(
        config.clone().addChain(gain).addChain(LayerEffect.newBuilder().setHighPassHz(1)),
        "`config.chain[1].high_pass_hz` is 1",
        "give a number from 10 to 20000 Hz");
    refused(config.clone().addChain(LayerEffect.getDefaultInstance()), "config.chain[0]");
    refused(
        config.clone().addChain(LayerEffect.newBuilder().setDelay(EffectDelay.newBuilder())),
        "time_ms");
    refused(config.clone().addChain(gain).setOnsetFrame(1L << 40), "onset_frame");
    Calls.refused(
        Status.Code.NOT_FOUND,
        () -> layer(config.clone().setImpulseFile(folder.resolve("none.wav").toString())),
        "config.impulse_file");
  }
}
