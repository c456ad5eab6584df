package takewright.service;

import static org.junit.jupiter.api.Assertions.assertEquals;

import io.grpc.ManagedChannel;
import io.grpc.Status;
import io.grpc.inprocess.InProcessChannelBuilder;
import java.io.IOException;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import takewright.v1.Accidentals;
import takewright.v1.FormatNameRequest;
import takewright.v1.NameFacts;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.NamingServiceGrpc.NamingServiceBlockingStub;
import takewright.v1.NamingStyle;
import takewright.v1.ParseNameRequest;

class NamingServiceTest {
  private static final NameFacts FACTS =
      NameFacts.newBuilder()
          .setLibrary("Larkfell")
          .setArticulation("sustain")
          .setLayer("close")
          .setMidi(61)
          .setDynamic("mf")
          .setRr(2)
          .build();

  private TakewrightServer server;
  private ManagedChannel channel;
  private NamingServiceBlockingStub stub;

  @BeforeEach
  void start() throws IOException {
    server = TakewrightServer.startInProcess();
    channel = InProcessChannelBuilder.forName(server.address()).build();
    stub = NamingServiceGrpc.newBlockingStub(channel);
  }

  @AfterEach
  void stop() throws IOException {
    channel.shutdownNow();
    server.close();
  }

  private String format(NamingStyle.Builder style, NameFacts facts) {
    return stub.formatName(FormatNameRequest.newBuilder().setStyle(style).setFacts(facts).build())
        .getName();
  }

  @Test
  void namesGoOutAndComeBack() {
    String name = format(NamingStyle.newBuilder(), FACTS);
    assertEquals("Larkfell_sustain_close_C#4_mf_rr2", name);
    assertEquals(
        FACTS, stub.parseName(ParseNameRequest.newBuilder().setName(name).build()).getFacts());
    assertEquals(
        "Db3-02",
        format(
            NamingStyle.newBuilder()
                .setPattern("{note}-{rr:2}")
                .setMiddleC("C3")
                .setAccidentals(Accidentals.ACCIDENTALS_FLAT),
            FACTS));
    assertEquals(
        "Cs4_2",
        format(NamingStyle.newBuilder().setPattern("{note}_{rr}").setSharpSign("s"), FACTS));
  }

  @Test
  void whatCannotBeNamedIsRefusedByItsField() {
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> format(NamingStyle.newBuilder(), FACTS.toBuilder().setMidi(128).build()),
        "facts",
        "0 to 127");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> format(NamingStyle.newBuilder(), FACTS.toBuilder().clearLibrary().build()),
        "facts",
        "library");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> format(NamingStyle.newBuilder().setPattern("{nota}"), FACTS),
        "style",
        "note");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> format(NamingStyle.newBuilder().setMiddleC("C9"), FACTS),
        "middle_c");
    Calls.refused(
        Status.Code.INVALID_ARGUMENT,
        () -> stub.parseName(ParseNameRequest.newBuilder().setName("nothing").build()),
        "name");
  }
}
