package takewright.bench.fuzz;

import com.google.protobuf.ByteString;
import com.google.protobuf.MessageLite;
import io.grpc.CallOptions;
import io.grpc.ClientCall;
import io.grpc.ManagedChannel;
import io.grpc.Metadata;
import io.grpc.MethodDescriptor;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.netty.shaded.io.grpc.netty.NettyChannelBuilder;
import io.grpc.stub.MetadataUtils;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import takewright.service.ServerSettings;
import takewright.service.TakewrightServer;
import takewright.v1.AnalyseConfig;
import takewright.v1.AnalyseRequest;
import takewright.v1.AudioInput;
import takewright.v1.AudioOutput;
import takewright.v1.DenoiseConfig;
import takewright.v1.DenoiseRequest;
import takewright.v1.FormatNameRequest;
import takewright.v1.LibraryServiceGrpc;
import takewright.v1.NameFacts;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.OperationsServiceGrpc;
import takewright.v1.PcmEncoding;
import takewright.v1.PcmFormat;
import takewright.v1.RetuneConfig;
import takewright.v1.RetuneRequest;
import takewright.v1.SegmentConfig;
import takewright.v1.SegmentRequest;
import takewright.v1.StartBuildRequest;

/**
 * Calls of a running service, which may touch no file: the first byte chooses the method, then come
 * messages, each behind its length in two bytes. Whatever they say, the call is answered soon, and
 * never by a failure that the service did not expect.
 */
public final class MessagesTarget {
  /** A call of a few kilobytes of audio takes milliseconds; this is for a busy machine. */
  private static final int ANSWER_S = 20;

  /** Messages of a call at the most. */
  private static final int MAX_MESSAGES = 16;

  private static final List<MethodDescriptor<?, ?>> METHODS = methods();
  private static final ManagedChannel CHANNEL = start();

  private MessagesTarget() {}

  private static List<MethodDescriptor<?, ?>> methods() {
    List<MethodDescriptor<?, ?>> all = new ArrayList<>();
    for (var service :
        List.of(
            OperationsServiceGrpc.getServiceDescriptor(),
            NamingServiceGrpc.getServiceDescriptor(),
            LibraryServiceGrpc.getServiceDescriptor())) {
      all.addAll(service.getMethods());
    }
    // In an order of their own, so that kept inputs stay what they are when methods come to exist.
    all.sort(java.util.Comparator.comparing(MethodDescriptor::getFullMethodName));
    return List.copyOf(all);
  }

  private static ManagedChannel start() {
    try {
      Path token = Files.createTempDirectory("fuzz").resolve("token");
      TakewrightServer server =
          TakewrightServer.start(
              new ServerSettings(ServerSettings.DEFAULT_HOST, 0, List.of(), token));
      Metadata headers = new Metadata();
      headers.put(
          Metadata.Key.of("authorization", Metadata.ASCII_STRING_MARSHALLER),
          "Bearer " + Files.readString(token).strip());
      return NettyChannelBuilder.forTarget(server.address())
          .usePlaintext()
          .proxyDetector(address -> null)
          .intercept(MetadataUtils.newAttachHeadersInterceptor(headers))
          .build();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** Called by Jazzer. */
  public static void fuzzerTestOneInput(byte[] data) throws Exception {
    if (data.length == 0) {
      return;
    }
    call(METHODS.get((data[0] & 0xFF) % METHODS.size()), messages(data));
  }

  private static List<byte[]> messages(byte[] data) {
    List<byte[]> messages = new ArrayList<>();
    for (int at = 1; at + 2 <= data.length && messages.size() < MAX_MESSAGES; ) {
      int length = (data[at] & 0xFF) | (data[at + 1] & 0xFF) << 8;
      int end = Math.min(data.length, at + 2 + length);
      messages.add(java.util.Arrays.copyOfRange(data, at + 2, end));
      at = end;
    }
    return messages;
  }

  private static <Q, A> void call(MethodDescriptor<Q, A> method, List<byte[]> messages)
      throws Exception {
    CompletableFuture<Status> answer = new CompletableFuture<>();
    ClientCall<Q, A> call =
        CHANNEL.newCall(method, CallOptions.DEFAULT.withDeadlineAfter(ANSWER_S, TimeUnit.SECONDS));
    call.start(
        new ClientCall.Listener<>() {
          @Override
          public void onClose(Status status, Metadata trailers) {
            answer.complete(status);
          }
        },
        new Metadata());
    call.request(Integer.MAX_VALUE);
    int sent = 0;
    for (byte[] message : messages) {
      Q request;
      try {
        request = method.parseRequest(new ByteArrayInputStream(message));
      } catch (StatusRuntimeException noMessage) {
        continue; // that is for the library to refuse, and it does
      }
      if (sent == 0 || !method.getType().clientSendsOneMessage()) {
        call.sendMessage(request);
        sent++;
      }
    }
    if (sent == 0 && method.getType().clientSendsOneMessage()) {
      call.cancel("nothing to send", null);
      return;
    }
    call.halfClose();
    Status status = answer.get(2 * ANSWER_S, TimeUnit.SECONDS);
    switch (status.getCode()) {
      case INTERNAL, UNKNOWN, UNAVAILABLE, DEADLINE_EXCEEDED, DATA_LOSS ->
          throw new AssertionError(method.getFullMethodName() + " ended with " + status);
      default -> {
        if (!status.isOk()) {
          OneLine.require(status.getDescription());
        }
      }
    }
  }

  static List<byte[]> seeds() {
    PcmFormat pcm =
        PcmFormat.newBuilder()
            .setEncoding(PcmEncoding.PCM_ENCODING_INT16)
            .setSampleRateHz(8000)
            .setChannels(1)
            .build();
    AudioInput input = AudioInput.newBuilder().setPcm(pcm).build();
    AudioOutput output = AudioOutput.newBuilder().setPcm(PcmEncoding.PCM_ENCODING_INT24).build();
    byte[] samples = new byte[1600];
    for (int i = 0; i < samples.length; i++) {
      samples[i] = (byte) (i * 37 ^ i >> 3);
    }
    ByteString audio = ByteString.copyFrom(samples);
    List<byte[]> seeds = new ArrayList<>();
    seeds.add(
        seed(
            "OperationsService/Analyse",
            AnalyseRequest.newBuilder()
                .setConfig(AnalyseConfig.newBuilder().setInput(input).setDetailValue(3))
                .build(),
            AnalyseRequest.newBuilder().setAudio(audio).build()));
    seeds.add(
        seed(
            "OperationsService/Segment",
            SegmentRequest.newBuilder()
                .setConfig(SegmentConfig.newBuilder().setInput(input).setLeadInMs(5))
                .build(),
            SegmentRequest.newBuilder().setAudio(audio).build()));
    seeds.add(
        seed(
            "OperationsService/Denoise",
            DenoiseRequest.newBuilder()
                .setConfig(DenoiseConfig.newBuilder().setInput(input).setOutput(output))
                .build(),
            DenoiseRequest.newBuilder().setAudio(audio).build()));
    seeds.add(
        seed(
            "OperationsService/Retune",
            RetuneRequest.newBuilder()
                .setConfig(RetuneConfig.newBuilder().setInput(input).setOutput(output).setCents(30))
                .build(),
            RetuneRequest.newBuilder().setAudio(audio).build()));
    seeds.add(
        seed(
            "NamingService/FormatName",
            FormatNameRequest.newBuilder()
                .setFacts(NameFacts.newBuilder().setLibrary("Larkfell").setMidi(60))
                .build()));
    seeds.add(
        seed(
            "LibraryService/StartBuild",
            StartBuildRequest.newBuilder()
                .setSheetFile("/no.yaml")
                .setOutputFolder("/no")
                .build()));
    return seeds;
  }

  private static byte[] seed(String method, MessageLite... messages) {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    for (int m = 0; m < METHODS.size(); m++) {
      if (METHODS.get(m).getFullMethodName().endsWith(method)) {
        out.write(m);
      }
    }
    for (MessageLite message : messages) {
      byte[] bytes = message.toByteArray();
      out.write(bytes.length);
      out.write(bytes.length >> 8);
      out.writeBytes(bytes);
    }
    return out.toByteArray();
  }
}
