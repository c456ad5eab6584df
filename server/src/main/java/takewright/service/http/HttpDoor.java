package takewright.service.http;

import com.google.protobuf.Descriptors.FieldDescriptor;
import com.google.protobuf.InvalidProtocolBufferException;
import com.google.protobuf.Message;
import com.google.protobuf.TypeRegistry;
import com.google.protobuf.util.JsonFormat;
import com.google.rpc.BadRequest;
import com.google.rpc.Code;
import com.google.rpc.ErrorInfo;
import com.google.rpc.RetryInfo;
import com.sun.net.httpserver.HttpExchange;
import io.grpc.Channel;
import io.grpc.MethodDescriptor;
import io.grpc.MethodDescriptor.PrototypeMarshaller;
import io.grpc.protobuf.StatusProto;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.Predicate;
import takewright.diagnosis.Nearest;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;
import takewright.service.wire.ErrorDetails;
import takewright.service.wire.Failures;

/**
 * Answers {@code POST /v1/METHOD} for scripts that have no gRPC. The body is the call's request, or
 * of a streamed call its first message, as JSON (the protobuf language guide's JSON mapping); the
 * answers are lines of JSON. Audio goes in files.
 *
 * <p>An error before the first answer sets the HTTP status, as the comments of google.rpc.Code map
 * it; a later one is the last line. Both hold {@code {"error": ...}} with a google.rpc.Status.
 */
public final class HttpDoor implements AutoCloseable {
  private static final String ROOT = "/v1/";
  private static final String SCHEME = "Bearer ";

  /** The one method of the contract that cannot be called here. */
  private static final String STREAM_ONLY = "FollowSession";

  /**
   * Calls at a time, each of which holds a thread; as many as may watch a build or follow another's
   * work beside some that work.
   */
  private static final int AT_ONCE = 32;

  private static final JsonFormat.Printer PRINTER =
      JsonFormat.printer()
          .usingTypeRegistry(
              TypeRegistry.newBuilder()
                  .add(ErrorInfo.getDescriptor())
                  .add(BadRequest.getDescriptor())
                  .add(RetryInfo.getDescriptor())
                  .build())
          .alwaysPrintFieldsWithNoPresence()
          .omittingInsignificantWhitespace();

  private final Map<String, MethodDescriptor<Message, Message>> methods = new TreeMap<>();
  private final Channel channel;
  private final Predicate<String> token;
  private final int messageBytes;
  private final HttpListener server;

  private HttpDoor(
      int port,
      List<MethodDescriptor<?, ?>> methods,
      Channel channel,
      Predicate<String> token,
      int messageBytes)
      throws IOException {
    this.channel = channel;
    this.token = token;
    this.messageBytes = messageBytes;
    methods.forEach(method -> this.methods.put(method.getBareMethodName(), cast(method)));
    server =
        HttpListener.open(
            HttpListener.ListenAddress.onLoopback(port), "http-call", AT_ONCE, "/", this::answer);
  }

  /**
   * Opens the door.
   *
   * @param port TCP port, 0 for one that is free
   * @param methods what can be called
   * @param channel where they are called
   * @param token whether the text behind "Bearer " is the service's token
   * @param messageBytes bytes of a request at most
   */
  public static HttpDoor open(
      int port,
      List<MethodDescriptor<?, ?>> methods,
      Channel channel,
      Predicate<String> token,
      int messageBytes)
      throws IOException {
    return new HttpDoor(port, methods, channel, token, messageBytes);
  }

  @SuppressWarnings("unchecked")
  private static MethodDescriptor<Message, Message> cast(MethodDescriptor<?, ?> method) {
    // Every method of the contract takes and answers protobuf messages.
    return (MethodDescriptor<Message, Message>) method;
  }

  /** The TCP port. */
  public int port() {
    return server.port();
  }

  @Override
  public void close() {
    server.close();
  }

  private void answer(HttpExchange exchange) throws IOException {
    Reply reply = new Reply(exchange);
    try {
      if (!exchange.getRequestMethod().equals("POST")) {
        exchange.getResponseHeaders().set("Allow", "POST");
        reply.begin(405);
        throw ProblemException.invalid(
            "",
            "the request is " + exchange.getRequestMethod() + ", and calls are POST",
            "send it as POST (curl: with -d '{}')");
      }
      requireToken(exchange);
      MethodDescriptor<Message, Message> method = method(exchange.getRequestURI().getPath());
      Message request = request(exchange, method);
      try (HttpCall call = HttpCall.start(channel, method, request)) {
        for (Message message; (message = call.next()) != null; ) {
          reply.line(PRINTER.print(message));
        }
      }
      reply.end();
    } catch (IOException gone) {
      throw gone; // The client has hung up; the call was cancelled with it.
    } catch (Exception e) {
      reply.fail(e);
    }
  }

  private void requireToken(HttpExchange exchange) {
    String given = exchange.getRequestHeaders().getFirst("Authorization");
    boolean isToken =
        given != null
            && given.regionMatches(true, 0, SCHEME, 0, SCHEME.length())
            && token.test(given.substring(SCHEME.length()).strip());
    if (!isToken) {
      throw new ProblemException(
          Reason.TOKEN_WRONG,
          "",
          given == null ? "no token was sent" : "the token is not that of this server",
          "send the header `Authorization: Bearer TOKEN` with the line of the server's token file");
    }
  }

  private MethodDescriptor<Message, Message> method(String path) {
    if (!path.startsWith(ROOT)) {
      throw new ProblemException(
          Reason.NOT_THERE, "", "nothing is at " + path, "call " + ROOT + "METHOD");
    }
    String name = path.substring(ROOT.length());
    MethodDescriptor<Message, Message> method = methods.get(name);
    if (method == null && name.equals(STREAM_ONLY)) {
      throw new ProblemException(
          Reason.NOT_THERE,
          "",
          "plain HTTP has no " + name + ", which listens to a stream of audio",
          "call it by gRPC, or run takewright follow");
    }
    if (method == null) {
      throw new ProblemException(
          Reason.NOT_THERE,
          "",
          "there is no method \"" + name + "\"",
          Nearest.remedy(name, methods.keySet(), ""));
    }
    return method;
  }

  private Message request(HttpExchange exchange, MethodDescriptor<Message, Message> method)
      throws IOException {
    byte[] body = exchange.getRequestBody().readNBytes(messageBytes + 1);
    if (body.length > messageBytes) {
      // A client reads no answer before it has sent all; the listener limits the time for that.
      exchange.getRequestBody().transferTo(OutputStream.nullOutputStream());
      throw ProblemException.invalid(
          "", "the body is larger than " + messageBytes + " bytes", "name files by their paths");
    }
    Message.Builder request =
        ((PrototypeMarshaller<Message>) method.getRequestMarshaller())
            .getMessagePrototype()
            .newBuilderForType();
    String text = new String(body, StandardCharsets.UTF_8);
    try {
      JsonFormat.parser().merge(text.isBlank() ? "{}" : text, request);
    } catch (InvalidProtocolBufferException e) {
      throw new ProblemException(
          BodyFaults.of(text, request.getDescriptorForType(), e.getMessage()), e);
    }
    Message whole = request.build();
    requireNoAudio(whole, "");
    return whole;
  }

  /** Streams of audio have no place in JSON. */
  private static void requireNoAudio(Message message, String path) {
    for (Map.Entry<FieldDescriptor, Object> field : message.getAllFields().entrySet()) {
      String name = path + field.getKey().getName();
      if (field.getKey().getName().equals("pcm")) {
        throw ProblemException.invalid(
            name,
            "asks for streamed audio, which plain HTTP does not carry",
            "give `file` instead");
      }
      if (field.getValue() instanceof Message inner) {
        requireNoAudio(inner, name + ".");
      }
    }
  }

  /** The answer to one request: lines of JSON, or one error. */
  private static final class Reply {
    private final HttpExchange exchange;
    private OutputStream out;

    Reply(HttpExchange exchange) {
      this.exchange = exchange;
    }

    void line(String json) throws IOException {
      if (out == null) {
        begin(200);
      }
      out.write((json + "\n").getBytes(StandardCharsets.UTF_8));
      out.flush();
    }

    private void begin(int status) throws IOException {
      exchange.getResponseHeaders().set("Content-Type", "application/x-ndjson; charset=utf-8");
      exchange.getResponseHeaders().set("Cache-Control", "no-store");
      exchange.getResponseHeaders().set("X-Content-Type-Options", "nosniff");
      exchange.sendResponseHeaders(status, 0); // 0: the length is not known.
      out = exchange.getResponseBody();
    }

    void fail(Exception failure) throws IOException {
      com.google.rpc.Status status = StatusProto.fromThrowable(failure);
      if (status == null || !(failure instanceof io.grpc.StatusRuntimeException)) {
        status = StatusProto.fromThrowable(ErrorDetails.of(Failures.of(failure)));
      }
      if (out == null) {
        begin(httpStatus(Code.forNumber(status.getCode())));
      }
      line("{\"error\":" + PRINTER.print(status) + "}");
      end();
    }

    void end() throws IOException {
      if (out == null) {
        begin(200);
      }
      out.close();
    }

    /** As the comments of google/rpc/code.proto map it. */
    private static int httpStatus(Code code) {
      return switch (code) {
        case OK -> 200;
        case INVALID_ARGUMENT, FAILED_PRECONDITION, OUT_OF_RANGE -> 400;
        case UNAUTHENTICATED -> 401;
        case PERMISSION_DENIED -> 403;
        case NOT_FOUND -> 404;
        case ABORTED, ALREADY_EXISTS -> 409;
        case RESOURCE_EXHAUSTED -> 429;
        case CANCELLED -> 499;
        case UNIMPLEMENTED -> 501;
        case UNAVAILABLE -> 503;
        case DEADLINE_EXCEEDED -> 504;
        default -> 500;
      };
    }
  }
}
